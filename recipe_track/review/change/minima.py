"""Required minima that a change breaks, re-bases or eases, and checks that the recipe has left behind."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, fields, replace
from typing import Literal

from recipe_track.errors import CallError
from recipe_track.figures.cases import ZoneCase
from recipe_track.figures.craft import zone_cases
from recipe_track.figures.limits import not_met_words
from recipe_track.figures.panel import PanelFigures
from recipe_track.figures.plies import LayerPlies
from recipe_track.figures.results import FIGURES, ModelFigures, Requirement
from recipe_track.figures.zone import zone_figures
from recipe_track.impact.basis import basis_changes, layup_changed
from recipe_track.recipe.identity import name_in, origins
from recipe_track.recipe.layup import Required, Zone
from recipe_track.recipe.materials import Reinforcement
from recipe_track.recipe.quantities import limited
from recipe_track.recipe.snapshot import ModelTree, Snapshot
from recipe_track.recipe.states import holds_by_zone
from recipe_track.workspace import Workspace

ConcernKind = Literal["broken", "re-based", "eased"]
Unmet = dict[str, Requirement]


@dataclass
class Known:
    """What was computed for zones and layers met before, on a walk along a history."""

    unmet: dict[tuple[object, ...], tuple[ZoneCase, Unmet]] = field(default_factory=dict)
    plies: dict[object, LayerPlies] = field(default_factory=dict)


PANEL_LIMITS = tuple(
    key for key in Required.model_fields if limited(key)[0] in {f.name for f in fields(PanelFigures)}
)


@dataclass(frozen=True, slots=True)
class Concern:
    """A required minimum that no longer holds, or no longer rests on what it was checked for."""

    kind: ConcernKind
    zone: str
    key: str
    text: str


def concern_words(listed: Sequence[Concern]) -> tuple[str, ...]:
    """Required minima broken, re-based or eased, one line each."""
    return tuple(f"  {concern.zone}: {concern.text}" for concern in listed)


def concerns(
    before: Snapshot | None, after: Snapshot, model: str, known: Known | None = None
) -> tuple[Concern, ...]:
    """What a step does to the required minima of a model; without a before, only what is broken.

    `known` keeps what was computed before, for a walk along a history.
    """
    known = Known() if known is None else known
    before, after = _where_they_differ(before, after, model)
    tree = after.models.get(model)
    if tree is None:
        return ()
    earlier = before.models.get(model) if before else None
    was = origins(earlier.zones if earlier else {}, tree.zones)
    met_before = _unmet(before, earlier, known) if before and earlier else {}
    met_after = _unmet(after, tree, known)
    listed = list(_broken(met_after, met_before, was))
    if before and earlier:
        for name, old_name in was.items():
            listed += _loosened(name, earlier.zones[old_name], tree.zones[name], before, after)
    return tuple(sorted(listed, key=lambda c: (c.zone, c.kind, c.key)))


def _where_they_differ(
    before: Snapshot | None, after: Snapshot, model: str
) -> tuple[Snapshot | None, Snapshot]:
    """Two revisions with those zones alone that are not one and the same, where nothing else can matter.

    A zone that is the same object, of the same part and materials, keeps its minima as they were.
    """
    old, new = before.models.get(model) if before else None, after.models.get(model)
    if before is None or old is None or new is None or before.materials is not after.materials:
        return before, after
    if old.zones.keys() != new.zones.keys() or old.parts.keys() != new.parts.keys():
        return before, after
    names = [
        f"{part.id}/{bare}"
        for part in new.parts.values()
        if part is not old.parts[part.id]
        for bare, zone in part.zones.items()
        if zone is not old.parts[part.id].zones[bare] or part.part is not old.parts[part.id].part
    ]
    return replace(before, models={model: old.only(names)}), replace(after, models={model: new.only(names)})


def unmet(snapshot: Snapshot, model: str) -> dict[str, dict[str, Requirement]]:
    """Required minima that do not hold at one revision, per zone and key."""
    tree = snapshot.models.get(model)
    return _unmet(snapshot, tree, Known()) if tree else {}


def _unmet(snapshot: Snapshot, tree: ModelTree, known: Known) -> dict[str, Unmet]:
    """Per zone what is not met; each zone is computed once for the files it is made of."""
    cases = {case.name: case for case in zone_cases(snapshot, tree) if case.zone.required}
    keys = {name: _made_of(case) for name, case in cases.items()}
    new = [name for name in cases if keys[name] not in known.unmet]
    computed = zone_figures([_lean(cases[n]) for n in new], known.plies) if new else ()
    for name, figures in zip(new, computed, strict=True):
        missed = {r.key: r for r in figures.required if r.met is False}
        known.unmet[keys[name]] = (cases[name], missed)
    return {name: missed for name in cases if (missed := known.unmet[keys[name]][1])}


def _made_of(case: ZoneCase) -> tuple[object, ...]:
    """Which zone, part and materials a case is computed from; files read once are the same objects."""
    named = {case.part.resin, *(name for layer in case.zone.layup for name in (layer.material, layer.resin))}
    made = {name: case.materials.get(name) for name in named if name}
    fabrics = [m for m in made.values() if isinstance(m, Reinforcement)]
    fibres = {d.fibre or m.fibre for m in fabrics for d in m.directions}
    made |= {name: case.materials.get(name) for name in fibres}
    return (case.name, id(case.zone), id(case.part), *sorted((name, id(m)) for name, m in made.items()))


def _lean(case: ZoneCase) -> ZoneCase:
    """The case without what no recorded minimum asks for: prices, and the panel unless it has a limit."""
    required = case.zone.required
    asked = any(getattr(required, key) is not None for key in PANEL_LIMITS)
    zone = case.zone if asked else case.zone.model_copy(update={"panel": None})
    return replace(case, zone=zone, prices=None, attached=None)


def _broken(
    after: Mapping[str, Mapping[str, Requirement]],
    before: Mapping[str, Mapping[str, Requirement]],
    was: Mapping[str, str],
) -> Iterator[Concern]:
    for zone, broken in after.items():
        known = before.get(was.get(zone, ""), {})
        for key, requirement in broken.items():
            if key not in known:
                yield Concern("broken", zone, key, not_met_words(requirement))


def _loosened(name: str, old: Zone, new: Zone, before: Snapshot, after: Snapshot) -> Iterator[Concern]:
    if old.required is None:
        return
    for what in basis_changes(old, new, before.materials, after.materials):
        yield Concern("re-based", name, what, f"the required minima rest on the {what}, which changed")
    yield from _eased(name, old.required, new.required)


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
    return {
        name: (note,)
        for name, zone in snapshot.models[model].zones.items()
        if zone.required and zone.required.checked_at
        for note in [_note(checked, snapshot, model, name, zone, zone.required.checked_at)]
        if note
    }


def _note(states: Checked, snapshot: Snapshot, model: str, name: str, zone: Zone, label: str) -> str | None:
    checked = states.get(label)
    if checked is None:
        return f"the scantling check names {label}, which is not to be found"
    there = checked.zones_of(model)
    then = there.get(name_in(name, snapshot.zones_of(model), there) or "")
    if then is None:
        return f"new since the scantling check at {label}"
    changes = list(_changes(then, zone, checked, snapshot))
    return f"changed since the scantling check at {label} ({', '.join(changes)})" if changes else None


def _changes(then: Zone, now: Zone, checked: Snapshot, snapshot: Snapshot) -> Iterator[str]:
    if layup_changed(then, now):
        yield "layup"
    yield from basis_changes(then, now, checked.materials, snapshot.materials)
