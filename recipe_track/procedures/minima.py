"""Required minima that a change breaks, re-bases or eases: what a re-verification has to cover."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

from recipe_track.figures.craft import zone_cases
from recipe_track.figures.required import Requirement
from recipe_track.figures.zone import ZoneFigures, zone_figures
from recipe_track.impact.basis import basis_changes
from recipe_track.procedures.pairs import zones_by_name
from recipe_track.recipe.layup import Required, Zone
from recipe_track.recipe.snapshot import ModelTree, Snapshot

ConcernKind = Literal["broken", "re-based", "eased"]


@dataclass(frozen=True, slots=True)
class Concern:
    """A required minimum that no longer holds, or no longer rests on what it was checked for."""

    kind: ConcernKind
    zone: str
    key: str
    text: str


def concerns(before: Snapshot | None, after: Snapshot, model: str) -> tuple[Concern, ...]:
    """What a step does to the required minima of a model; without a before, only what is broken."""
    tree = after.models.get(model)
    if tree is None:
        return ()
    zones_after = zones_by_name(tree)
    earlier = before.models.get(model) if before else None
    pairs = origins(earlier, tree)
    met_before = _unmet(before, earlier, set(pairs.values())) if before and earlier else {}
    met_after = _unmet(after, tree, set(zones_after))
    found = list(_broken(met_after, met_before, pairs))
    if before and earlier:
        zones_before = zones_by_name(earlier)
        for name, old_name in pairs.items():
            found += _loosened(name, zones_before[old_name], zones_after[name], before, after)
    return tuple(sorted(found, key=lambda c: (c.zone, c.kind, c.key)))


def unmet(snapshot: Snapshot, model: str) -> dict[str, dict[str, Requirement]]:
    """Required minima that do not hold at one revision, per zone and key."""
    tree = snapshot.models.get(model)
    return _unmet(snapshot, tree, set(zones_by_name(tree))) if tree else {}


def origins(earlier: ModelTree | None, tree: ModelTree) -> dict[str, str]:
    """Zone → the zone that its minima were recorded for: itself, or what it was split or renamed from."""
    before = zones_by_name(earlier)
    known = {name: name for name in zones_by_name(tree) if name in before}
    for name, zone in zones_by_name(tree).items():
        former = next((old for old in zone.formerly if old in before), None)
        if name not in known and former:
            known[name] = former
    return known


def _unmet(snapshot: Snapshot, tree: ModelTree, names: set[str]) -> dict[str, dict[str, Requirement]]:
    cases = [case for case in zone_cases(snapshot, tree) if case.name in names and case.zone.required]
    return {
        figures.zone: broken for figures in zone_figures(cases) if (broken := _broken_requirements(figures))
    }


def _broken_requirements(figures: ZoneFigures) -> dict[str, Requirement]:
    return {r.key: r for r in figures.required if r.met is False}


def _broken(
    after: Mapping[str, Mapping[str, Requirement]],
    before: Mapping[str, Mapping[str, Requirement]],
    pairs: Mapping[str, str],
) -> Iterator[Concern]:
    for zone, broken in after.items():
        known = before.get(pairs.get(zone, ""), {})
        for key, requirement in broken.items():
            if key not in known:
                text = f"required {key} {requirement.limit:g} is not met: {requirement.value:g}"
                yield Concern("broken", zone, key, text)


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
        if limit is None or not key.endswith(("_min", "_max")):
            continue
        now = getattr(new, key) if new else None
        if now is None:
            yield Concern("eased", name, key, f"required {key} {limit:g} was taken out")
        elif (now < limit) if key.endswith("_min") else (now > limit):
            yield Concern("eased", name, key, f"required {key} was eased from {limit:g} to {now:g}")
