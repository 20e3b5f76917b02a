"""Why each layer of a zone is there: since when, by which change, on what evidence, and did it work."""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass

from recipe_track.errors import CallError
from recipe_track.history.refs import is_ancestor
from recipe_track.impact.origins import LineOrigin, RemovedLayer, trace
from recipe_track.impact.rows import LayerView, Mark, view
from recipe_track.recipe.identity import name_in, names_now
from recipe_track.recipe.materials import mats_of
from recipe_track.recipe.paths import part_of
from recipe_track.recipe.records import Change, Decision, Trial, Verification
from recipe_track.recipe.rules.names import nearest
from recipe_track.recipe.snapshot import Snapshot
from recipe_track.recipe.trail import Records
from recipe_track.review.choosing import hull_named, hull_part_named
from recipe_track.review.hull.zones import DeviationShown, deviation_rows
from recipe_track.review.past.changes_on_main import ChangeOnMain, change_ids, changes_on_main
from recipe_track.review.past.lineage import Lineage, Node
from recipe_track.workspace import Revision, Workspace

LayerKey = tuple[Node, str, float, float | None, bool, float]


@dataclass(frozen=True, slots=True)
class Cause:
    """What brought or took out a layer: a revision, and the change behind it with all that is on record."""

    since: Revision
    change_id: str | None
    change: Change | None
    reason: str
    trials: tuple[tuple[str, Trial], ...]
    approval: tuple[str, Decision] | None
    verifications: tuple[tuple[str, Verification], ...]

    @property
    def outcome(self) -> str | None:
        """`confirmed` or `not-confirmed` by the last verification; None where there is none."""
        return self.verifications[-1][1].outcome if self.verifications else None


@dataclass(frozen=True, slots=True)
class LayerStory:
    """A line of the layup: how it came to be as it is, what it was before, and which hulls carry it."""

    layer: LayerView
    mark: Mark
    was: LayerView | None
    cause: Cause
    earlier: tuple[Cause, ...]
    hulls: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class RemovedStory:
    """A layer that was taken out: what brought it, what took it out, and which hulls still carry it."""

    layer: LayerView
    brought: Cause
    cause: Cause
    hulls: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ZoneStory:
    """Every layer of a zone at a revision; `names` are those it had, the present one first."""

    zone: str
    names: tuple[str, ...]
    model: str
    revision: Revision
    hull: str | None
    layers: tuple[LayerStory, ...]
    removed: tuple[RemovedStory, ...]
    deviations: tuple[DeviationShown, ...]
    mats: frozenset[str]
    complete: bool


def why_zone(
    ws: Workspace, zone: str, model: str | None, *, at: str | None = None, hull: str | None = None,
    line: int | None = None,
) -> ZoneStory:  # fmt: skip
    """The story of a zone on main, at a revision, or as built for a hull."""
    current = ws.current()
    if at is not None and hull is not None:
        raise CallError("--at and --hull exclude each other", "a hull names its own revision")
    model = hull_named(current, hull).model if hull else ws.model_of(model, current)
    revision = _revision(ws, current, zone, model, at, hull)
    commit = str(revision.commit)
    main = ws.tip()
    tip = main if commit == main or is_ancestor(ws.repo, commit, main) else commit
    teller = _Teller(ws, current, model, Lineage(ws, model, tip), tip)
    name = _name_at(teller.lineage, commit, zone, current, model)
    return teller.story(name, revision, hull, line)


def _revision(
    ws: Workspace, current: Snapshot, zone: str, model: str, at: str | None, hull: str | None
) -> Revision:
    if hull is not None:
        return ws.revision_of(hull_part_named(current, hull, part_of(zone)).commit, model)
    revision = ws.revision(at or ws.tip(), model)
    if revision.commit is None:
        raise CallError("the working files have no history yet", "name a revision that is committed")
    return revision


def _name_at(lineage: Lineage, commit: str, zone: str, current: Snapshot, model: str) -> str:
    """What the zone is called at a commit; CallError with the nearest names there."""
    there = lineage.zones(commit)
    name = name_in(zone, current.zones_of(model), there)
    if name is None:
        raise CallError(f"there is no zone `{zone}` there", nearest(zone, there))
    return name


class _Teller:
    """Joins traces with the records; one for a command."""

    def __init__(self, ws: Workspace, current: Snapshot, model: str, lineage: Lineage, tip: str) -> None:
        self._ws, self._current, self._model = ws, current, model
        self.lineage = lineage
        self._arrivals = lineage.arrivals(tip)
        self._landed = changes_on_main(ws.repo, ws.commits)
        self._causes: dict[str, Cause] = {}

    def story(self, name: str, revision: Revision, hull: str | None, line: int | None) -> ZoneStory:
        """Every layer, or one line."""
        commit = str(revision.commit)
        traced = trace(self.lineage.versions(commit, name))
        if line is not None and not any(one.line == line for one in traced.lines):
            raise CallError(f"the layup of {name} has no line {line}", f"it has {len(traced.lines)}")
        carried, left = self._carried(name, commit), self._keys(commit, name)
        lines = [one for one in traced.lines if line in (None, one.line)]
        removed = traced.removed if line is None else ()
        behind = self.lineage.behind((commit, name))
        return ZoneStory(
            name, tuple(dict.fromkeys(reversed([zone for _, zone in behind]))), self._model, revision, hull,
            tuple(self._line(one, carried) for one in lines),
            tuple(self._removed(one, carried, left) for one in reversed(removed)),
            self._deviations(hull, name), mats_of(self._current.materials), not self._ws.repo.shallow,
        )  # fmt: skip

    def _deviations(self, hull: str | None, name: str) -> tuple[DeviationShown, ...]:
        rows = deviation_rows(self._current, hull) if hull else ()
        return tuple(row for row in rows if row.deviation.zone == name)

    def _line(self, traced: LineOrigin[Node], carried: Mapping[str, Counter[LayerKey]]) -> LayerStory:
        latest = next(origin for origin in traced.origins if origin.since == traced.since)
        earlier = tuple(self._cause(*o.since) for o in traced.origins if o is not latest)
        layer = view(traced.line, traced.layer, traced.layer.plies)
        return LayerStory(
            layer, latest.mark, latest.was, self._cause(*traced.since), earlier,
            _hulls(carried, _key(traced.since, layer)),
        )  # fmt: skip

    def _removed(
        self, removed: RemovedLayer[Node], carried: Mapping[str, Counter[LayerKey]], left: Counter[LayerKey]
    ) -> RemovedStory:
        """A hull still carries it where it has more such plies than are left."""
        key = _key(removed.since, removed.layer)
        hulls = tuple(number for number, plies in carried.items() if plies[key] > left[key])
        return RemovedStory(
            removed.layer, self._cause(*removed.since), self._cause(*removed.removed_by), hulls
        )

    def _carried(self, name: str, commit: str) -> dict[str, Counter[LayerKey]]:
        """Hull → the layers of this zone, with their origins, that its part's release holds."""
        behind = self.lineage.behind((commit, name))
        names_at: dict[str, set[str]] = {}
        for node_commit, node_name in behind:
            names_at.setdefault(node_commit, set()).add(node_name)
        known: dict[str, Counter[LayerKey]] = {}
        carried: dict[str, Counter[LayerKey]] = {}
        for number, hull in sorted(self._current.hulls.items()):
            for part in hull.part if hull.model == self._model else ():
                names = names_at.get(part.commit) or names_now(name, self.lineage.zones(part.commit))
                mine = sorted(n for n in names if part_of(n) == part.part)
                for one in mine:
                    key = f"{part.commit}:{one}"
                    if key not in known:
                        known[key] = self._keys(part.commit, one)
                    carried.setdefault(number, Counter()).update(known[key])
        return carried

    def _keys(self, commit: str, name: str) -> Counter[LayerKey]:
        """Plies of a zone at a commit, counted by where they come from and what they are."""
        counted: Counter[LayerKey] = Counter()
        for line in trace(self.lineage.versions(commit, name)).lines:
            for origin in line.origins:
                counted[_key(origin.since, view(line.line, line.layer, origin.plies))] += origin.plies
        return counted

    def _cause(self, commit: str, zone: str) -> Cause:
        if commit not in self._causes:
            self._causes[commit] = self._found_cause(commit, zone)
        return self._causes[commit]

    def _found_cause(self, born: str, zone: str) -> Cause:
        """The change that brought a commit to main; without one, what the commit itself says."""
        step = self._arrivals[born]
        landed = self._change_of(born, step, zone)
        source = self.lineage.commits[landed.source.id if landed else born]
        change_id = landed.change if landed else next(iter(change_ids(source)), None)
        records = self._records(change_id, born)
        change = records.get(change_id or "")
        said = next(iter(source.trailer("Reason")), source.message.split("\n", 1)[0])
        known = change if isinstance(change, Change) else None
        label = self._ws.labels(self._model).of(step)
        return Cause(
            Revision(label, source.id, source.date), change_id, known, known.reason if known else said,
            tuple((i, t) for i in (known.trials if known else ()) if isinstance(t := records.get(i), Trial)),
            _approval(records, change_id), tuple(records.verifications_of(change_id or "")),
        )  # fmt: skip

    def _change_of(self, born: str, step: str, zone: str) -> ChangeOnMain | None:
        """The change of a step that holds the commit; among several, the one whose own edit it is."""
        here = [landed for landed in self._landed.values() if landed.commit.id == step]
        holding = [landed for landed in here if landed.source.id == born or self._brought(landed, born)]
        named = [landed for landed in holding if landed.change in change_ids(self.lineage.commits[born])]
        best = [landed for landed in named or holding if _expects(self._current, landed.change, zone)]
        return next(iter((*best, *named, *holding)), None)

    def _brought(self, landed: ChangeOnMain, born: str) -> bool:
        """Whether a commit came to main's line with the merge of a change."""
        source = landed.source
        if len(source.parents) < 2 or source.id not in self.lineage.commits:
            return False
        repo = self._ws.repo
        return is_ancestor(repo, born, source.id) and not is_ancestor(repo, born, source.parents[0])

    def _records(self, change_id: str | None, commit: str) -> Records:
        """Records of main, and where the change is still a proposal, those of its branch."""
        if change_id is None or change_id in self._current.records:
            return self._current.records
        return self._current.records.joined(self._ws.records_named(commit, [change_id]))


def _approval(records: Records, change_id: str | None) -> tuple[str, Decision] | None:
    decisions = records.decisions_about(change_id) if change_id else []
    approvals = [(i, d) for i, d in decisions if d.decision == "approved"]
    return approvals[-1] if approvals else None


def _expects(snapshot: Snapshot, change_id: str, zone: str) -> bool:
    change = snapshot.records.get(change_id)
    return isinstance(change, Change) and change.expected is not None and zone in change.expected.zones


def _key(since: Node, layer: LayerView) -> LayerKey:
    return (
        since, layer.material, layer.angle_deg, layer.thickness_mm, layer.flipped, layer.coverage_fraction,
    )  # fmt: skip


def _hulls(carried: Mapping[str, Counter[LayerKey]], key: LayerKey) -> tuple[str, ...]:
    return tuple(number for number, keys in carried.items() if key in keys)
