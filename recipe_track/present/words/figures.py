"""Words for figures that several views share: revisions, days, centres, required minima."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from recipe_track.figures.frequency import IN_AIR, entered_bands, meeting_words
from recipe_track.figures.limits import unmet_words
from recipe_track.figures.results import (
    CAUSE_KEYS,
    CENTRE_KEYS,
    CRAFT_KEYS,
    FIGURES,
    SUMMED_KEYS,
    ZONE_KEYS,
    CraftTotals,
    Requirement,
    ZoneFigures,
    as_read,
)
from recipe_track.present.words.plain import visible
from recipe_track.present.words.units import (
    limit_words,
    number,
    quantity,
    told_apart,
    unit_of,
    with_unit,
    words_for,
)
from recipe_track.recipe.quantities import quantities_of

if TYPE_CHECKING:
    from recipe_track.review.change.uncertainty import Uncertainty
    from recipe_track.workspace import Revision

# Figures of a zone that are always shown, those shown where they change, and those that only layers give.
ZONE_MAIN = as_read(key for key in ZONE_KEYS if FIGURES[key].shown == "always")
ZONE_SHOWN = as_read(key for key in ZONE_KEYS if FIGURES[key].shown != "asked")
ZONE_STIFFNESS = tuple(key for key in ZONE_MAIN if key not in SUMMED_KEYS)
# The same of a stiffener: those whose changes are told by their causes.
SECTION_STIFFNESS = as_read(key for key in CAUSE_KEYS if key not in (*ZONE_STIFFNESS, *SUMMED_KEYS))
# The craft's totals, its centre last; and those followed through many revisions.
CRAFT_MAIN = as_read(key for key in CRAFT_KEYS if FIGURES[key].shown != "asked")
CRAFT_SHOWN = tuple(sorted(CRAFT_MAIN, key=lambda key: key in CENTRE_KEYS))
TOTALS = as_read(key for key in quantities_of(CraftTotals) if FIGURES[key].shown == "always")
FOLLOWED = tuple(key for key in TOTALS if key != "tcg_m")  # what hardly moves has no column
PART_SHOWN = tuple(key for key in SUMMED_KEYS if FIGURES[key].shown == "always")

CAUTION = (
    "Figures are estimates for comparing revisions; scantlings stay with the standard that applies "
    "and with a qualified designer or the certification body."
)


def revision_words(revision: Revision) -> str:
    """`r7 (12 Feb 2026)`, or `the working files`."""
    if revision.commit is None:
        return "the working files"
    return f"{revision.shown} ({day_words(revision.date)})"


def day_words(moment: str | None) -> str:
    """An ISO date or moment as `12 Feb 2026`."""
    if not moment:
        return ""
    year, month, day = moment[:10].split("-")
    months = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"]
    return f"{int(day)} {months[int(month) - 1]} {year}"


def centre_words(centre: tuple[float, float, float] | None) -> str:
    """`LCG 3.950 TCG 0.000 VCG 0.880 m`."""
    if centre is None:
        return "no mass, no centre"
    x, y, z = (number(key, value) for key, value in zip(CENTRE_KEYS, centre, strict=True))
    return f"LCG {x} TCG {y} VCG {z} m"


def requirement_words(requirement: Requirement, currency: str | None = None) -> str:
    """`mass 5 980.0 kg, at most 6 100.0 kg: met`."""
    key, words = limit_words(requirement.key)
    value, limit = held_words(requirement, currency)
    load = load_words(requirement)
    verdict = {True: "met", False: "NOT MET", None: "no figure to hold against it"}[requirement.met]
    return f"{words_for(key)} {value}{load}, {words} {limit}: {verdict}"


def load_words(requirement: Requirement) -> str:
    """` under the foot load`, where that is the worse one; the pressure goes without saying."""
    return " under the foot load" if requirement.load == "patch" else ""


def held_words(requirement: Requirement, currency: str | None = None) -> tuple[str, str]:
    """The figure and its limit with their unit, told apart where the limit is not met."""
    key, _ = limit_words(requirement.key)
    value, unit = requirement.value, unit_of(key, currency)
    ends = requirement.limit if isinstance(requirement.limit, tuple) else (requirement.limit,)
    if requirement.met is False and value is not None:
        shown, *limits = told_apart(key, ends, value)
    else:
        shown, *limits = (number(key, one) for one in (value, *ends))
    return with_unit(shown, unit), with_unit(" … ".join(limits), unit)


def other_notes(zone: ZoneFigures) -> tuple[str, ...]:
    """The notes of a zone but those on minima not met and on frequencies, which are told by themselves."""
    told = {*(unmet_words(r) for r in zone.required if r.met is False), *frequency_notes(zone)}
    return tuple(note for note in zone.notes if note not in told)


def frequency_notes(zone: ZoneFigures) -> tuple[str, ...]:
    """Where what shakes the craft meets the panel of a zone, and that its frequency is one in air."""
    in_air = (IN_AIR,) if IN_AIR in zone.notes else ()
    return (*map(meeting_words, zone.excitation), *in_air)


def frequency_changes(before: ZoneFigures | None, after: ZoneFigures) -> Iterator[str]:
    """What a change that moves the frequency of a panel does to where it is shaken."""
    old = before.excitation if before else ()
    if before is not None and (old, before.frequency_hz) == (after.excitation, after.frequency_hz):
        return
    yield from entered_bands(old, after.excitation)
    yield from frequency_notes(after)


def exceeded_lines(zone: ZoneFigures) -> Iterator[str]:
    """`EXCEEDED: strain use 1.163: pressure on the mould side, centre, layer 4 …`, each use above 1."""
    for key in zone.exceeded:
        (use, _) = told_apart(key, (1.0,), getattr(zone, key))
        governs = zone.governs.get(key)
        yield f"EXCEEDED: {words_for(key)} {use}{f': {governs}' if governs else ''}"


STATED = (
    "± is one standard deviation out of the tolerances that the materials state: "
    "first order, inputs independent"
)


def insignificant_lines(uncertainty: Uncertainty | None, currency: str | None) -> Iterator[str]:
    """A line for the changes that are smaller than their standard deviation."""
    for key in uncertainty.insignificant if uncertainty else ():
        assert uncertainty is not None
        deviation = f"±{quantity(key, uncertainty.deviations[key], currency)}"
        yield f"{words_for(key)}: the change is smaller than its spread, {deviation} (standard deviation)"


def uncertainty_lines(deviations: Mapping[str, Mapping[str, float]], currency: str | None) -> Iterator[str]:
    """A line per zone, part and craft: `deck/side: mass ±0.4 kg, EI along ±0.12 kN·m²/m`."""
    for name, found in deviations.items():
        shown = [f"{words_for(key)} ±{quantity(key, value, currency)}" for key, value in found.items()]
        yield f"{visible(name)}: {', '.join(shown) or 'no tolerance stated'}"
    yield STATED
