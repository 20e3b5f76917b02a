"""Words for figures that several views share: revisions, days, centres, required minima."""

from recipe_track.figures.limits import Requirement
from recipe_track.figures.zone import ZoneFigures
from recipe_track.present.words.units import limit_words, measure, number, quantity
from recipe_track.workspace import Revision

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
    x, y, z = (number(key, value) for key, value in zip(("lcg_m", "tcg_m", "vcg_m"), centre, strict=True))
    return f"LCG {x} TCG {y} VCG {z} m"


def requirement_words(requirement: Requirement, currency: str | None = None) -> str:
    """`mass 5 980.0 kg, at most 6 100.0 kg: met`."""
    key, words = limit_words(requirement.key)
    limit = requirement.limit
    if isinstance(limit, tuple):
        shown = f"{number(key, limit[0])} … {quantity(key, limit[1], currency)}"
    else:
        shown = quantity(key, limit, currency)
    verdict = {True: "met", False: "NOT MET", None: "no figure to hold against it"}[requirement.met]
    return f"{measure(key).words} {quantity(key, requirement.value, currency)}, {words} {shown}: {verdict}"


def other_notes(zone: ZoneFigures) -> tuple[str, ...]:
    """The notes of a zone but those on minima not met, which people are told in their own words."""
    missed = {f"required {r.key} {r.limit:g} is not met" for r in zone.required if r.met is False}
    return tuple(note for note in zone.notes if note not in missed)
