"""Required minima that a change breaks, re-bases or eases, uses above 1, and checks left behind."""

from collections.abc import Iterator, Mapping, Sequence, Set
from dataclasses import dataclass, field, replace
from typing import Literal

from recipe_track.errors import CallError
from recipe_track.figures.cases import ZoneCase
from recipe_track.figures.craft import zone_cases
from recipe_track.figures.limits import exceeded_words, not_met_words
from recipe_track.figures.plies import LayerPlies
from recipe_track.figures.results import FIGURES, ModelFigures, ZoneFigures
from recipe_track.figures.zone import zone_figures
from recipe_track.impact.basis import basis_changes, layup_changed
from recipe_track.impact.materials import materials_used
from recipe_track.recipe.identity import name_in, origins
from recipe_track.recipe.layup import Required, Zone
from recipe_track.recipe.quantities import limited
from recipe_track.recipe.snapshot import ModelTree, Snapshot
from recipe_track.recipe.states import holds_by_zone
from recipe_track.workspace import Workspace

ConcernKind = Literal["broken", "exceeded", "re-based", "eased"]
WORSE = 1.01
"""What is broken already and gets worse by more than this asks once more."""


@dataclass(frozen=True, slots=True)
class Shortfall:
    """A required minimum that is not met, or a use above 1: its figure, whether more is worse, in words."""

    kind: Literal["broken", "exceeded"]
    value: float
    more_is_worse: bool
    text: str

    def is_worse_than(self, other: "Shortfall") -> bool:
        """Whether the figure went the wrong way by more than one in a hundred."""
        low, high = (other.value, self.value) if self.more_is_worse else (self.value, other.value)
        return high > WORSE * low


Shortfalls = dict[str, Shortfall]
"""By the key of the limit, or that of the figure above 1."""


@dataclass
class Known:
    """What was computed for zones and layers met before, on a walk along a history."""

    short: dict[tuple[object, ...], tuple[ZoneCase, Shortfalls]] = field(default_factory=dict)
    plies: dict[object, LayerPlies] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Concern:
    """A minimum that no longer holds or rests on what it was checked for, or a use above 1."""

    kind: ConcernKind
    zone: str
    key: str
    text: str
    value: float | None = None


def concern_words(listed: Sequence[Concern]) -> tuple[str, ...]:
    """Required minima broken, re-based or eased, and uses above 1, one line each."""
    return tuple(f"  {concern.zone}: {concern.text}" for concern in listed)


def concerns(
    before: Snapshot | None, after: Snapshot, model: str, known: Known | None = None
) -> tuple[Concern, ...]:
    """What a step does to the minima and margins of a model; without a before, only what falls short.

    `known` keeps what was computed before, for a walk along a history.
    """
    known = Known() if known is None else known
    before, after = _where_they_differ(before, after, model)
    tree = after.models.get(model)
    if tree is None:
        return ()
    earlier = before.models.get(model) if before else None
    was = origins(earlier.zones if earlier else {}, tree.zones)
    short_before = _shortfalls(before, earlier, known) if before and earlier else {}
    short_after = _shortfalls(after, tree, known)
    listed = list(_fallen_short(short_after, short_before, was))
    if before and earlier:
        old_cases, new_cases = _cases(before, earlier), _cases(after, tree)
        for name, old_name in was.items():
            listed += _loosened(old_cases[old_name], new_cases[name])
    return tuple(sorted(listed, key=lambda c: (c.zone, c.kind, c.key)))


def _where_they_differ(
    before: Snapshot | None, after: Snapshot, model: str
) -> tuple[Snapshot | None, Snapshot]:
    """Two revisions with those zones alone that are not one and the same, where nothing else can matter.

    A zone that is the same object, of the same part and materials, keeps its minima as they were; not so a
    stiffener on plating that was edited.
    """
    old, new = before.models.get(model) if before else None, after.models.get(model)
    if before is None or old is None or new is None or before.materials is not after.materials:
        return before, after
    if old.zones.keys() != new.zones.keys() or old.parts.keys() != new.parts.keys():
        return before, after
    differing = {
        f"{part.id}/{bare}"
        for part in new.parts.values()
        if part is not old.parts[part.id]
        for bare, zone in part.zones.items()
        if zone is not old.parts[part.id].zones[bare] or part.part is not old.parts[part.id].part
    }
    names = _with_stiffeners(differing, old, new)
    return replace(before, models={model: old.only(names)}), replace(after, models={model: new.only(names)})


def _with_stiffeners(names: Set[str], *trees: ModelTree) -> tuple[str, ...]:
    """Zones, the stiffeners that stand on them, and what the stiffeners among them stand on."""
    stands = {(name, zone.attached) for tree in trees for name, zone in tree.zones.items() if zone.attached}
    more = {name for name, below in stands if below in names} | set(names)
    below = {plate for name, plate in stands if name in more and plate in trees[0].zones}
    return tuple(sorted(more | below))


def shortfalls(snapshot: Snapshot, model: str) -> dict[str, Shortfalls]:
    """Required minima that do not hold and uses above 1 at one revision, per zone and key."""
    tree = snapshot.models.get(model)
    return _shortfalls(snapshot, tree, Known()) if tree else {}


def _cases(snapshot: Snapshot, tree: ModelTree) -> dict[str, ZoneCase]:
    return {case.name: case for case in zone_cases(snapshot, tree)}


def _shortfalls(snapshot: Snapshot, tree: ModelTree, known: Known) -> dict[str, Shortfalls]:
    """Per zone what falls short; each zone is computed once for the files it is made of."""
    cases = {name: case for name, case in _cases(snapshot, tree).items() if _may_fall_short(case.zone)}
    keys = {name: _made_of(case) for name, case in cases.items()}
    new = [name for name in cases if keys[name] not in known.short]
    computed = zone_figures([replace(cases[n], prices=None) for n in new], known.plies) if new else ()
    for name, figures in zip(new, computed, strict=True):
        known.short[keys[name]] = (cases[name], dict(_short_of(figures)))
    return {name: missed for name in cases if (missed := known.short[keys[name]][1])}


def _may_fall_short(zone: Zone) -> bool:
    return bool(zone.required or zone.panel or zone.beam)


def _short_of(figures: ZoneFigures) -> Iterator[tuple[str, Shortfall]]:
    for one in figures.required:
        if one.met is False and one.value is not None:
            yield one.key, Shortfall("broken", one.value, limited(one.key)[1] == "max", not_met_words(one))
    for key in figures.exceeded:
        use = getattr(figures, key)
        yield key, Shortfall("exceeded", use, True, exceeded_words(key, use, figures.governs.get(key)))


def _made_of(case: ZoneCase) -> tuple[object, ...]:
    """Which zone, part and materials a case is computed from; files read once are the same objects."""
    used = materials_used(case.zone, case.part, case.materials)
    made = sorted((name, id(case.materials.get(name))) for name in used)
    under = _made_of(case.attached) if case.attached else ()
    return (case.name, id(case.zone), id(case.part), *made, *under)


def _fallen_short(
    after: Mapping[str, Shortfalls], before: Mapping[str, Shortfalls], was: Mapping[str, str]
) -> Iterator[Concern]:
    """What falls short and did not before, or falls short by more."""
    for zone, short in after.items():
        known = before.get(was.get(zone, ""), {})
        for key, one in short.items():
            earlier = known.get(key)
            if earlier is None:
                yield Concern(one.kind, zone, key, one.text, one.value)
            elif one.is_worse_than(earlier):
                text = f"{one.text}; it was {earlier.value:.4g}"
                yield Concern(one.kind, zone, key, text, one.value)


def _loosened(old: ZoneCase, new: ZoneCase) -> Iterator[Concern]:
    """What the minima of a zone rest on and is not what it was, and limits made easier."""
    required = old.zone.required
    if required is None:
        return
    for what in basis_changes(old, new):
        yield Concern("re-based", new.name, what, f"the required minima rest on the {what}, which changed")
    yield from _eased(new.name, required, new.zone.required)


def _eased(name: str, old: Required, new: Required | None) -> Iterator[Concern]:
    """A limit made easier to meet, or taken out: the way round a broken one."""
    for key in type(old).model_fields:
        limit = getattr(old, key)
        if limit is None or limited(key)[0] not in FIGURES:
            continue
        now = getattr(new, key) if new else None
        if now is None:
            yield Concern("eased", name, key, f"required {key} {limit:g} was taken out")
        elif (now < limit) if limited(key)[1] == "min" else (now > limit):
            yield Concern("eased", name, key, f"required {key} was eased from {limit:g} to {now:g}")


Checked = Mapping[str, Snapshot | None]  # by the label that a check names; None where it is not to be found


def checked_states(ws: Workspace, snapshot: Snapshot, model: str) -> Checked:
    """The revisions that the scantling checks of a model name."""
    required = [zone.required for zone in snapshot.zones_of(model).values()]
    named = {one.checked_at for one in required if one is not None and one.checked_at}
    return {label: _state_at(ws, label, model) for label in sorted(named)}


def _state_at(ws: Workspace, label: str, model: str) -> Snapshot | None:
    try:
        return ws.read(ws.revision(label, model)).snapshot
    except CallError:
        return None


def with_holds_and_notes(
    figures: ModelFigures, snapshot: Snapshot, current: Snapshot, checked: Checked
) -> ModelFigures:
    """The figures with the holds of today and a note where a zone changed since its scantling check."""
    holds = holds_by_zone(current, figures.model)
    notes = scantling_notes(snapshot, figures.model, checked)
    zones = tuple(
        replace(
            z,
            hold=tuple(h.record for h in holds.get(z.zone, ())),
            notes=(*z.notes, *notes.get(z.zone, ())),
        )
        for z in figures.zones
    )
    return replace(figures, zones=zones)


def scantling_notes(snapshot: Snapshot, model: str, checked: Checked) -> dict[str, tuple[str, ...]]:
    """Per zone: `changed since the scantling check at r3 (layup, span)`, or that the check is not found."""
    there = {label: (state.models.get(model) if state else None, state) for label, state in checked.items()}
    then = {label: _cases(state, tree) for label, (tree, state) in there.items() if tree and state}
    now = _cases(snapshot, snapshot.models[model])
    return {
        name: (note,)
        for name, case in now.items()
        if case.zone.required and case.zone.required.checked_at
        for note in [_note(then.get(case.zone.required.checked_at), case, now, case.zone.required.checked_at)]
        if note
    }


def _note(
    then: Mapping[str, ZoneCase] | None, case: ZoneCase, now: Mapping[str, ZoneCase], label: str
) -> str | None:
    if then is None:
        return f"the scantling check names {label}, which is not to be found"
    zones, there = ({name: one.zone for name, one in cases.items()} for cases in (now, then))
    old = then.get(name_in(case.name, zones, there) or "")
    if old is None:
        return f"new since the scantling check at {label}"
    changes = (*(("layup",) if layup_changed(old.zone, case.zone) else ()), *basis_changes(old, case))
    return f"changed since the scantling check at {label} ({', '.join(changes)})" if changes else None
