"""Whether required minima still rest on what they were checked for: layup, panel, core and fabric."""

from collections.abc import Iterator, Mapping

from recipe_track.impact.materials import differing_keys, is_redefined
from recipe_track.recipe.layup import Panel, Zone
from recipe_track.recipe.materials import Core, Material, Reinforcement
from recipe_track.recipe.quantities import words_of


def layup_changed(before: Zone, after: Zone) -> bool:
    """Whether the layers differ in more than a note, a tag or an extent."""
    if len(before.layup) != len(after.layup):
        return True
    return any(differing_keys(old, new) for old, new in zip(before.layup, after.layup, strict=True))


def basis_changes(
    before: Zone,
    after: Zone,
    materials_before: Mapping[str, Material],
    materials_after: Mapping[str, Material],
) -> tuple[str, ...]:
    """What changed of that on which required minima rest: span, pressure, edges, core and fabric data."""
    return (*_panel_changes(before, after), *_material_changes(after, materials_before, materials_after))


def _panel_changes(before: Zone, after: Zone) -> Iterator[str]:
    if before.panel is None or after.panel is None:
        if before.panel != after.panel:
            yield "panel"
        return
    for key in differing_keys(before.panel, after.panel):
        if key != "patch":  # no required minimum is held against the patch load
            yield words_of(Panel, key)


def _material_changes(
    after: Zone, materials_before: Mapping[str, Material], materials_after: Mapping[str, Material]
) -> Iterator[str]:
    for name in dict.fromkeys(layer.material for layer in after.layup):
        new = materials_after.get(name)
        if isinstance(new, Core) and _differs(name, materials_before, materials_after):
            yield f"core {name}"
        elif isinstance(new, Reinforcement):
            if _differs(name, materials_before, materials_after):
                yield f"fabric {name}"
            for fibre in _fibres(new):
                if _differs(fibre, materials_before, materials_after):
                    yield f"fibre {fibre} of {name}"


def _fibres(fabric: Reinforcement) -> tuple[str, ...]:
    return tuple(dict.fromkeys((fabric.fibre, *(d.fibre for d in fabric.directions if d.fibre))))


def _differs(name: str, before: Mapping[str, Material], after: Mapping[str, Material]) -> bool:
    """Whether a material that both sides know has other data; who sells it and how it is cut is no data."""
    old, new = before.get(name), after.get(name)
    return old is not None and new is not None and is_redefined(old, new)
