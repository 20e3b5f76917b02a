"""The craft's totals in a few lines: value, change, target."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from rich.cells import cell_len
from textual.content import Content

from recipe_track.figures.results import CRAFT_KEYS, Requirement, as_read
from recipe_track.impact.balance import CONDITION_KEYS
from recipe_track.impact.effects import Delta
from recipe_track.present.words.comparison import balance_lines, delta_words
from recipe_track.present.words.figures import CRAFT_MAIN, PART_SHOWN, requirement_words
from recipe_track.present.words.units import grouped, limit_words, number, quantity, whole_number, words_for
from recipe_track.tui.content.comparison import ComparisonView
from recipe_track.tui.content.zone import change_words
from recipe_track.tui.text import TextPiece, fitted, line, lines

_SHORT = {"laminate_mass_kg": "laminate"}
_LEFT_OUT_WHEN_NARROW = "laminate_mass_kg"
_WIDE = 100
_LABEL = 7


@dataclass(frozen=True, slots=True)
class Total:
    """One total of the craft as three cells."""

    value: str
    change: str
    target: str
    missed: bool


def craft_grid(view: ComparisonView, width: int) -> Content:
    """Three lines: the totals after the change, what the change adds, the targets."""
    keys = [k for k in CRAFT_MAIN if width >= _WIDE or k != _LEFT_OUT_WHEN_NARROW]
    totals = [_total(view, key) for key in keys]
    craft = view.comparison.craft
    rows = [
        (craft.condition if craft else "craft", "bold", [t.value for t in totals]),
        ("change", "", [t.change for t in totals]),
        ("target", "", [t.target for t in totals]),
    ]
    widths = [max(cell_len(row[2][n]) for row in rows) for n in range(len(totals))]
    space = max(1, min(4, (width - _LABEL - sum(widths) - 1) // max(len(totals), 1)))
    return lines(_row(label, style, cells, widths, space, totals) for label, style, cells in rows)


def _row(
    label: str, style: str, cells: list[str], widths: list[int], space: int, totals: list[Total]
) -> Content:
    pieces: list[TextPiece] = [(fitted(label, _LABEL), "$text-muted")]
    for cell, width, total in zip(cells, widths, totals, strict=True):
        look = "bold $accent" if total.missed and cell == total.target else style
        pieces.append((fitted(cell, width) + " " * space, look))
    return line(*pieces)


def _total(view: ComparisonView, key: str) -> Total:
    delta = view.comparison.impact.craft.figures.get(key, Delta(None, None, None, None))
    shown = quantity(key, delta.after, view.currency)
    target = targets_by_key(view).get(key)
    return Total(
        f"{_SHORT.get(key, words_for(key))} {shown}",
        change_words(key, delta, view.currency) or "–",
        target_words(key, target),
        target is not None and target.met is False,
    )


def targets_by_key(view: ComparisonView) -> Mapping[str, Requirement]:
    """The craft's targets by the figure they are held against."""
    craft = view.comparison.craft
    return {limit_words(t.key)[0]: t for t in craft.targets} if craft else {}


def target_words(key: str, target: Requirement | None) -> str:
    """`≤ 6 000.0 met`, `3.700–3.950 met`, `±0.020 OUT`."""
    if target is None:
        return "none set"
    verdict = {True: "met", False: "OUT", None: "–"}[target.met]
    limit = target.limit
    if isinstance(limit, tuple):
        low, high = limit
        same = low == -high
        return f"±{number(key, high)} {verdict}" if same else f"{grouped(low)}–{grouped(high)} {verdict}"
    return f"≤ {grouped(limit)} {verdict}"


def missed_targets(view: ComparisonView) -> int:
    """How many of the craft's targets are not met."""
    return sum(t.met is False for t in targets_by_key(view).values())


def craft_page(view: ComparisonView) -> Content:
    """The craft in full: totals, balance, conditions, targets, parts, hulls."""
    return lines(_page(view))


def _page(view: ComparisonView) -> Iterator[Content]:
    comparison, currency = view.comparison, view.currency
    craft, impact = comparison.craft, comparison.impact
    yield line((f"Craft, {craft.condition if craft else 'no'} condition", "bold"))
    for key in dict.fromkeys((*CRAFT_MAIN, *as_read(CRAFT_KEYS))):
        yield line(f"  {delta_words(key, impact.craft.figures.get(key), currency)}")
    yield from (line(f"  {text}") for text in balance_lines(comparison))
    yield from (line(f"  target: {requirement_words(t, currency)}") for t in (craft.targets if craft else ()))
    for condition in impact.craft.conditions:
        yield line("")
        fill = f"{whole_number(100 * condition.fill)}%"
        yield line((f"Condition {condition.name}", "bold"), f", variable masses at {fill}")
        for key in CONDITION_KEYS:
            yield line(f"  {delta_words(key, condition.figures.get(key))}")
    for part in impact.parts:
        yield line("")
        yield line((f"Part {part.part}", "bold"))
        for key in PART_SHOWN:
            yield line(f"  {delta_words(key, part.figures.get(key), currency)}")
    yield line("")
    for side in (comparison.before, comparison.after):
        built = ", ".join(side.hulls) or "none"
        yield line(f"Hulls with a part built to {side.revision.shown}: {built}")
