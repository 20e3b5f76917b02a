"""Why each layer of a zone is there: since when, by which change, on what evidence, and did it work."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from recipe_track.errors import CallError
from recipe_track.impact.origins import LineOrigin, RemovedLayer, trace
from recipe_track.impact.rows import LayerView, Mark, view
from recipe_track.recipe.craft import Part
from recipe_track.recipe.hulls import OPEN
from recipe_track.recipe.identity import name_in, names_now
from recipe_track.recipe.materials import mats_of
from recipe_track.recipe.paths import material_path, part_of, part_path, zone_path
from recipe_track.recipe.records import Change, Decision, Trial, Verification
from recipe_track.recipe.rules.names import nearest
from recipe_track.recipe.states import Hold, holds_of_zone
from recipe_track.review.choosing import hull_named, hull_part_named
from recipe_track.review.hull.zones import DeviationShown, deviation_rows
from recipe_track.review.past.changes_on_main import brought_by
from recipe_track.review.past.lineage import Lineage, Node, fetch_lineage
from recipe_track.workspace import Revision, Workspace

if TYPE_CHECKING:
    from recipe_track.history.revisions import Labels
    from recipe_track.recipe.ledger import Records
    from recipe_track.recipe.snapshot import Snapshot
    from recipe_track.trail import Verdict

LayerKey = tuple[Node, str, float, float | None, bool, float, str]


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
class DataChange:
    """A revision that reached a zone from outside its file: the data of a material or of its part."""

    of: str
    cause: Cause


@dataclass(frozen=True, slots=True)
class LayerStory:
    """A line of the layup: how it came to be as it is, what it was before, and which hulls carry it.

    `data` are later changes of its material's data, newest first; `hulls` carry it with the data it has
    at the revision shown, `hulls_other_data` with earlier or later ones, and on `hulls_planned` the part is
    not in the mould yet.
    """

    layer: LayerView
    mark: Mark
    was: LayerView | None
    cause: Cause
    earlier: tuple[Cause, ...]
    data: tuple[DataChange, ...]
    hulls: tuple[str, ...]
    hulls_other_data: tuple[str, ...]
    hulls_planned: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class RemovedStory:
    """A layer that was taken out: what brought it, what took it out, and which hulls still carry it."""

    layer: LayerView
    brought: Cause
    cause: Cause
    hulls: tuple[str, ...]
    hulls_planned: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ZoneStory:
    """Every layer of a zone at a revision; `names` are those it had, the present one first.

    `around` are the changes of its part and of the part's resin since it is there, newest first.
    """

    zone: str
    names: tuple[str, ...]
    model: str
    revision: Revision
    hull: str | None
    layers: tuple[LayerStory, ...]
    removed: tuple[RemovedStory, ...]
    around: tuple[DataChange, ...]
    deviations: tuple[DeviationShown, ...]
    holds: tuple[Hold, ...]
    mats: frozenset[str]
    complete: bool


def why_zone(
    ws: Workspace, zone: str, model: str | None, *, at: str | None = None, hull: str | None = None,
    line: int | None = None,
) -> ZoneStory:  # fmt: skip
    """The story of a zone on main, at a revision, or as built for a hull."""
    if at is not None and hull is not None:
        raise CallError("--at and --hull exclude each other", "a hull names its own revision")
    return told(fetch(ws, zone, model, at, hull), zone, hull, line)


@dataclass(frozen=True, slots=True)
class Fetched:
    """All that the story of a zone is made of, as values: after this nobody asks git anything.

    `records` are those of main and, of a revision that is not on it, those it brought.
    """

    model: str
    revision: Revision
    current: Snapshot
    lineage: Lineage
    labels: Labels
    on_main: Collection[str]
    verdict: Verdict
    records: Records
    complete: bool


def fetch(ws: Workspace, zone: str, model: str | None, at: str | None, hull: str | None) -> Fetched:
    """The whole log behind main, or behind a revision that is not on it, with all contents of a model."""
    current = ws.current()
    chosen = hull_named(current, hull).model if hull else ws.model_of(model, current)
    revision = _revision(ws, current, zone, chosen, at, hull)
    commit, main = str(revision.commit), ws.tip()
    on_main = ws.trail.by_id.keys()
    lineage = fetch_lineage(ws, chosen, main if commit in on_main else commit)
    proposed = (name for at in lineage.commits if at not in on_main for name in lineage.changes_added(at))
    names = [name for name in proposed if name not in current.records]
    records = current.records.joined(ws.records_named(commit, names) if names else {})
    return Fetched(
        chosen, revision, current, lineage, ws.labels(chosen), on_main, ws.trail.verdict,
        records, not ws.repo.shallow,
    )  # fmt: skip


def told(fetched: Fetched, zone: str, hull: str | None = None, line: int | None = None) -> ZoneStory:
    """The story of a zone out of what was fetched."""
    commit = str(fetched.revision.commit)
    name = _name_at(fetched.lineage, commit, zone, fetched.current, fetched.model)
    return _Teller(fetched).story(name, hull, line)


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


@dataclass(frozen=True, slots=True)
class Carried:
    """What a hull has of a zone: its plies with their origins, and the commits its parts were built to.

    `done` are changes carried out on the built parts; a part that is planned or kit-cut is not in the mould.
    """

    plies: Counter[LayerKey]
    commits: set[str]
    done: set[str]
    is_started: bool


class _Teller:
    """Joins traces with the records; one for a command."""

    def __init__(self, fetched: Fetched) -> None:
        self._fetched = fetched
        self._current, self._model, self.lineage = fetched.current, fetched.model, fetched.lineage
        self._causes: dict[tuple[str, str], Cause] = {}

    def story(self, name: str, hull: str | None, line: int | None) -> ZoneStory:
        """Every layer, or one line."""
        revision = self._fetched.revision
        commit = str(revision.commit)
        traced = trace(self.lineage.versions(commit, name))
        if line is not None and not any(found.line == line for found in traced.lines):
            raise CallError(f"the layup of {name} has no line {line}", f"it has {len(traced.lines)}")
        carried, left = self._carried(name, commit), self._keys(commit, name)
        lines = [found for found in traced.lines if line in (None, found.line)]
        removed = traced.removed if line is None else ()
        behind = self.lineage.behind((commit, name))
        return ZoneStory(
            name, tuple(dict.fromkeys(reversed([zone for _, zone in behind]))), self._model, revision, hull,
            tuple(self._line(found, carried, commit, name) for found in lines),
            tuple(self._removed(found, carried, left) for found in reversed(removed)),
            tuple(self._around(commit, name)), self._deviations(hull, name),
            holds_of_zone(self._current, self._model, name),
            mats_of(self._current.materials), self._fetched.complete,
        )  # fmt: skip

    def _deviations(self, hull: str | None, name: str) -> tuple[DeviationShown, ...]:
        rows = deviation_rows(self._current, hull) if hull else ()
        return tuple(row for row in rows if row.deviation.zone == name and row.former is None)

    def _line(
        self, found: LineOrigin[Node], carried: Mapping[str, Carried], at: str, zone: str
    ) -> LayerStory:
        latest = next(origin for origin in found.origins if origin.since == found.since)
        earlier = tuple(self._zone_cause(o.since) for o in found.origins if o is not latest)
        layer = view(found.line, found.layer, found.layer.plies)
        key, path = _key(found.since, layer), material_path(layer.material)
        cause = self._zone_cause(found.since)
        having = {
            n: built for n, built in carried.items() if built.plies[key] or cause.change_id in built.done
        }
        hulls, planned = _by_state(having)
        same = tuple(number for number in hulls if self._has_data_of(having[number], path, at))
        return LayerStory(
            layer, latest.mark, latest.was, cause, earlier,
            tuple(self._data_changes(layer.material, path, at, zone, found.since[0])),
            same, tuple(number for number in hulls if number not in same), planned,
        )  # fmt: skip

    def _has_data_of(self, built: Carried, path: str, at: str) -> bool:
        now = self.lineage.data(at, path)
        return all(self.lineage.data(commit, path) == now for commit in built.commits)

    def _data_changes(
        self, of: str, path: str, at: str, zone: str, since: str | None = None
    ) -> Iterator[DataChange]:
        """Changes of a material's or a part's data on the way to a revision, newest first."""
        way = list(dict.fromkeys(commit for commit, _ in self.lineage.behind((at, zone))))
        later = way[way.index(since) + 1 :] if since is not None else way[1:]
        for commit in reversed(list(self.lineage.redefined(later, path))):
            yield DataChange(of, self._cause(commit, path))

    def _around(self, at: str, zone: str) -> Iterator[DataChange]:
        part = part_of(zone)
        path = part_path(self._model, part)
        yield from self._data_changes(f"part {part}", path, at, zone)
        written = self.lineage.data(at, path)
        if isinstance(written, Part):
            yield from self._data_changes(written.resin, material_path(written.resin), at, zone)

    def _removed(
        self, found: RemovedLayer[Node], carried: Mapping[str, Carried], left: Counter[LayerKey]
    ) -> RemovedStory:
        """A hull still carries it where it has more such plies than are left, and nobody took them out."""
        key, cause = _key(found.since, found.layer), self._zone_cause(found.removed_by)
        having = {
            number: built
            for number, built in carried.items()
            if built.plies[key] > left[key] and cause.change_id not in built.done
        }
        return RemovedStory(found.layer, self._zone_cause(found.since), cause, *_by_state(having))

    def _carried(self, name: str, commit: str) -> dict[str, Carried]:
        """Hull → the layers of this zone, with their origins, that its part's release holds."""
        behind = self.lineage.behind((commit, name))
        names_at: dict[str, set[str]] = {}
        for node_commit, node_name in behind:
            names_at.setdefault(node_commit, set()).add(node_name)
        known: dict[str, Counter[LayerKey]] = {}
        carried: dict[str, Carried] = {}
        for number in self._current.numbers(self._model):
            for part in self._current.hull_parts(number):
                if not part.is_started and part.state not in OPEN:
                    continue
                names = names_at.get(part.commit) or names_now(name, self.lineage.zones(part.commit))
                mine = sorted(n for n in names if part_of(n) == part.part)
                for one in mine:
                    key = f"{part.commit}:{one}"
                    if key not in known:
                        known[key] = self._keys(part.commit, one)
                    fresh = Carried(Counter(), set(), set(), part.is_started)
                    built = carried.setdefault(number, fresh)
                    built.plies.update(known[key])
                    built.commits.add(part.commit)
                    built.done.update(part.done)
        return carried

    def _keys(self, commit: str, name: str) -> Counter[LayerKey]:
        """Plies of a zone at a commit, counted by where they come from and what they are."""
        counted: Counter[LayerKey] = Counter()
        for found in trace(self.lineage.versions(commit, name)).lines:
            for origin in found.origins:
                counted[_key(origin.since, view(found.line, found.layer, origin.plies))] += origin.plies
        return counted

    def _zone_cause(self, node: Node) -> Cause:
        return self._cause(node[0], zone_path(self._model, node[1]))

    def _cause(self, commit: str, path: str) -> Cause:
        if (commit, path) not in self._causes:
            self._causes[commit, path] = self._found_cause(commit, path)
        return self._causes[commit, path]

    def _found_cause(self, born: str, path: str) -> Cause:
        """The change whose edit of a file a commit landed; without one, what the commit itself says."""
        source = self.lineage.commits[born]
        change_id = self._change_of(born, path)
        records = self._fetched.records
        change = records.get(change_id or "")
        told = next(iter(source.trailer("Reason")), source.message.split("\n", 1)[0])
        known = change if isinstance(change, Change) else None
        label = self._fetched.labels.of(born)
        return Cause(
            Revision(label, source.id, source.date), change_id, known, known.reason if known else told,
            tuple((i, t) for i in (known.trials if known else ()) if isinstance(t := records.get(i), Trial)),
            _approval(records, change_id), tuple(records.verifications_of(change_id or "")),
        )  # fmt: skip

    def _change_of(self, born: str, path: str) -> str | None:
        """The change that a commit brought to a file: by what decisions cover, or still proposed."""
        if born in self._fetched.on_main:
            verdict = self._fetched.verdict
            own = [one.change for one in verdict.landed_by.get(born, ()) if one.done.path == path]
            return next(iter((*own, *brought_by(verdict, born))), None)
        return next(self.lineage.changes_added(born), None)


def _by_state(carried: Mapping[str, Carried]) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Hulls on which the part is in the mould or further, and those on which it is not yet."""
    started, planned = (
        tuple(number for number, built in carried.items() if built.is_started is wanted)
        for wanted in (True, False)
    )
    return started, planned


def _approval(records: Records, change_id: str | None) -> tuple[str, Decision] | None:
    decisions = records.decisions_about(change_id) if change_id else []
    approvals = [(i, d) for i, d in decisions if d.decision == "approved"]
    return approvals[-1] if approvals else None


def _key(since: Node, layer: LayerView) -> LayerKey:
    return (
        since, layer.material, layer.angle_deg, layer.thickness_mm, layer.flipped, layer.coverage_fraction,
        layer.on,
    )  # fmt: skip
