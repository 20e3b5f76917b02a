"""Rules of stiffeners: their section is stated once, layers lie on parts it has, a beam has a section."""

from collections.abc import Iterator

from recipe_track.errors import Fault
from recipe_track.recipe.layup import Zone, section_stated
from recipe_track.recipe.rules.layups import zones_of
from recipe_track.recipe.snapshot import Snapshot

GIRTH_OFF = 0.02
NO_SECTION = "no section is stated: give `section`, or a former with its `section_mm2`"


def check_sections(snapshot: Snapshot) -> Iterator[Fault]:
    """A section is stated once: by itself, the former filling it, or by the former's own rectangle."""
    for path, _, _, _, zone in zones_of(snapshot):
        former = zone.former
        if former is None:
            continue
        if zone.section is None and former.section_mm2 is None:
            message = "missing key `section_mm2` in `former`"
            hint = "or state the `section` that the former fills"
            yield Fault(path, ("former", "section_mm2"), "missing-key", message, hint)
        for key in ("section_mm2", "height_mm") if zone.section is not None else ():
            if getattr(former, key) is not None:
                message = f"`{key}` does not go with a `section`, which the former fills"
                yield Fault(path, ("former", key), "unfit-key", message, at="key")


def check_girths(snapshot: Snapshot) -> Iterator[Fault]:
    """A stated girth is the one around the section."""
    for path, _, _, _, zone in zones_of(snapshot):
        if zone.section is not None and zone.girth_mm is not None:
            around = zone.section.girth_mm
            off = zone.girth_mm / around - 1
            if abs(off) > GIRTH_OFF:
                message = f"{100 * off:+.1f} % off the {around:.1f} mm around the section".replace("-", "−")
                yield Fault(path, ("girth_mm",), "girth-off", message, "leave it out, it follows")


def check_parts_of_sections(snapshot: Snapshot) -> Iterator[Fault]:
    """Layers lie on a part that the section of their stiffener has."""
    for path, _, _, _, zone in zones_of(snapshot):
        for n, layer in enumerate(zone.layup):
            refused = _refused(zone, layer.on) if layer.on != "all" else None
            if refused is not None:
                yield Fault(path, ("layup", n, "on"), "unfit-part", f"layer {n + 1}: {refused}")


def _refused(zone: Zone, on: str) -> str | None:
    """Why no layer can lie on a part of this zone alone."""
    if zone.form != "stiffener":
        return f"`on` belongs to a stiffener, not to a {zone.form}"
    section = section_stated(zone)
    if section is None:
        return NO_SECTION
    return "the section has no flanges" if on == "flanges" and not section.flange_mm else None


def check_beams(snapshot: Snapshot) -> Iterator[Fault]:
    """A beam bends a section."""
    for path, _, _, _, zone in zones_of(snapshot):
        if zone.form == "stiffener" and zone.beam is not None and section_stated(zone) is None:
            yield Fault(path, ("beam",), "beam-without-section", NO_SECTION, at="key")


RULES = (check_sections, check_girths, check_parts_of_sections, check_beams)
