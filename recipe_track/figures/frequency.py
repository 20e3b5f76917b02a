"""Natural frequencies of panels, and where what shakes the craft meets them."""

from collections.abc import Iterator, Sequence

import numpy as np

from recipe_track.figures.cases import Resolved
from recipe_track.figures.costs import stack_kg_m2
from recipe_track.figures.limits import at_most
from recipe_track.figures.loads import sides_mm
from recipe_track.figures.results import Meeting, Steady
from recipe_track.figures.si import MM
from recipe_track.figures.stack import Laminates
from recipe_track.mechanics.arrays import FloatArray
from recipe_track.mechanics.frequency import added_water_mass, natural_frequency
from recipe_track.mechanics.laminate import reduced_bending
from recipe_track.recipe.craft import Excitation
from recipe_track.recipe.layup import LoadedSide, Panel

IN_AIR = "frequency in air; water against a panel can bring it down to a quarter"
WET_SIDES: dict[LoadedSide, int] = {"mould": 1, "bag": 1, "both": 2}


def frequencies(
    resolved: Sequence[Resolved], panels: Sequence[Panel], laminates: Laminates
) -> list[tuple[float | None, float | None]]:
    """First natural frequency of each panel [Hz], in air and, where it says so, with water against it."""
    x, y = np.array([sides_mm(panel) for panel in panels]).T * MM
    mass = np.array([panel_kg_m2(r, p) for r, p in zip(resolved, panels, strict=True)])
    in_air = natural_frequency(
        reduced_bending(laminates.stiffness), laminates.shear_n_per_m[:, 0], laminates.shear_n_per_m[:, 1],
        x, y, np.array([panel.edges == "clamped" for panel in panels]), mass,
    )  # fmt: skip
    sides = np.array([WET_SIDES[p.water] if p.water else 0 for p in panels])
    wet = in_air * np.sqrt(mass / (mass + sides * added_water_mass(x, y)))
    return list(zip(_known(in_air), _known(np.where(sides > 0, wet, np.nan)), strict=True))


def panel_kg_m2(resolved: Resolved, panel: Panel) -> float:
    """What moves with a panel: its stack with coatings, and what it carries [kg/m²]."""
    return stack_kg_m2(resolved.layers) + panel.carried_kg_m2


def _known(values: FloatArray) -> list[float | None]:
    return [value if np.isfinite(value) else None for value in values.tolist()]


def meetings(
    excitation: Excitation | None, frequency_hz: float | None, wet_hz: float | None
) -> tuple[Meeting, ...]:
    """Where each order and each fixed frequency meets a panel, in air and with water against it."""
    if excitation is None:
        return ()
    panels = [(hz, wet) for hz, wet in ((frequency_hz, False), (wet_hz, True)) if hz is not None]
    return tuple(one for hz, wet in panels for one in _meetings(excitation, hz, wet))


def _meetings(excitation: Excitation, panel_hz: float, wet: bool) -> Iterator[Meeting]:
    band = excitation.band_fraction
    for order in excitation.orders:
        hz_per_rpm = order.per_rev * order.ratio / 60
        meets, between = panel_hz / hz_per_rpm, excitation.range_rpm
        in_range = between[0] <= meets <= between[1] if between else None
        steady = tuple(_steady(rpm * hz_per_rpm, panel_hz, band, rpm) for rpm in excitation.steady_rpm)
        yield Meeting(order.name, panel_hz, wet, band, meets, in_range, steady)
    for hz in excitation.hz:
        yield Meeting(None, panel_hz, wet, band, None, None, (_steady(hz, panel_hz, band),))


def meeting_words(meeting: Meeting) -> str:
    """`blades meet 31.7 Hz at 475 rpm (in the running range); at 1900 rpm 126.7 Hz, 4.00 of it`."""
    panel = f"{meeting.frequency_hz:.1f} Hz{' with water against it' if meeting.wet else ''}"
    steady = [f"{one.hz:.1f} Hz, {one.ratio:.2f} of it{_near(one, meeting)}" for one in meeting.steady]
    if meeting.name is None or meeting.meets_rpm is None:
        return f"of the panel's {panel} what is steady: {'; '.join(steady)}"
    verb = "meet" if meeting.name.endswith("s") else "meets"
    ranges = {None: "", True: " (in the running range)", False: " (outside the running range)"}
    speeds = [f"; at {one.rpm:g} rpm {said}" for one, said in zip(meeting.steady, steady, strict=True)]
    meets = f"{meeting.name} {verb} {panel} at {meeting.meets_rpm:.0f} rpm{ranges[meeting.in_range]}"
    return f"{meets}{''.join(speeds)}"


def _near(steady: Steady, meeting: Meeting) -> str:
    return f", within the yard's band of {100 * meeting.band_fraction:g} %" if steady.within_band else ""


def entered_bands(before: Sequence[Meeting], after: Sequence[Meeting]) -> Iterator[str]:
    """Steady frequencies whose band a panel was out of before a change and is in after it."""
    were = {(m.name, m.wet, s.rpm or s.hz) for m in before for s in m.steady if s.within_band}
    for m in after:
        for s in m.steady:
            if s.within_band and (m.name, m.wet, s.rpm or s.hz) not in were:
                what = f"{m.name} at {s.rpm:g} rpm" if s.rpm is not None else "what is steady"
                wet = " with water against it" if m.wet else ""
                yield (
                    f"enters the yard's band of {100 * m.band_fraction:g} %: {what}, {s.hz:.1f} Hz, is"
                    f" {s.ratio:.2f} of its {m.frequency_hz:.1f} Hz{wet}"
                )


def _steady(hz: float, panel_hz: float, band: float, rpm: float | None = None) -> Steady:
    """A steady frequency and the panel's: the band's own ends belong to it."""
    ratio = hz / panel_hz
    return Steady(rpm, hz, ratio, at_most(abs(ratio - 1), band))
