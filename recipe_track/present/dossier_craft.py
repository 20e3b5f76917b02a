"""The craft in a dossier: totals against targets, parts, balance in every condition."""

from collections.abc import Iterator
from dataclasses import dataclass

from recipe_track.impact.outcome import ConditionImpact
from recipe_track.present.causes import cause_list
from recipe_track.present.compare import balance_lines
from recipe_track.present.dossier_zones import FigureRow, figure_rows, limit_text, verdict
from recipe_track.present.units import limit_words, measure, number, quantity, signed, signed_quantity
from recipe_track.procedures.comparison import Comparison

CRAFT_KEYS = (
    "mass_kg", "laminate_mass_kg", "lcg_m", "tcg_m", "vcg_m",
    "material_cost", "labour_cost", "process_cost", "cost",
)  # fmt: skip
PART_KEYS = ("mass_kg", "cost")


@dataclass(frozen=True, slots=True)
class TargetRow:
    """A target with the figure after the change."""

    words: str
    limit: str
    value: str
    verdict: str


@dataclass(frozen=True, slots=True)
class CraftPages:
    """Everything a dossier says of the craft."""

    condition: str
    figures: tuple[FigureRow, ...]
    targets: tuple[TargetRow, ...]
    causes: tuple[str, ...]
    parts: tuple[tuple[str, ...], ...]
    conditions: tuple[tuple[str, ...], ...]
    balance: tuple[str, ...]


def craft_pages(comparison: Comparison) -> CraftPages:
    """Totals, targets, causes, parts and balance."""
    craft, impact = comparison.craft, comparison.impact.craft
    return CraftPages(
        craft.condition if craft else "",
        figure_rows(impact.figures, CRAFT_KEYS, comparison.currency),
        tuple(_targets(comparison)),
        tuple(_causes(comparison)),
        tuple(_parts(comparison)),
        tuple(map(_condition, impact.conditions)),
        tuple(_balance(comparison)),
    )


def _targets(comparison: Comparison) -> Iterator[TargetRow]:
    for target in comparison.craft.targets if comparison.craft else ():
        key, _ = limit_words(target.key)
        yield TargetRow(
            measure(key).words,
            limit_text(target, comparison.currency),
            quantity(key, target.value, comparison.currency),
            verdict(target.met),
        )


def _causes(comparison: Comparison) -> Iterator[str]:
    impact = comparison.impact.craft
    if impact.causes_note:
        yield f"causes not told: {impact.causes_note}"
    for key, causes in (impact.causes or {}).items():
        delta = impact.figures[key].delta if key in impact.figures else None
        if delta:
            change = signed_quantity(key, delta, comparison.currency)
            yield f"{measure(key).words} {change} because of {cause_list(key, causes)}"


def _parts(comparison: Comparison) -> Iterator[tuple[str, ...]]:
    for part in comparison.impact.parts:
        rows = [part.figures[key] for key in PART_KEYS]
        cells = [
            cell
            for key, d in zip(PART_KEYS, rows, strict=True)
            for cell in (number(key, d.before), number(key, d.after), signed(key, d.delta))
        ]
        yield (part.part, *cells)


def _condition(condition: ConditionImpact) -> tuple[str, ...]:
    def both(key: str) -> str:
        delta = condition.figures[key]
        return f"{number(key, delta.before)} → {number(key, delta.after)}"

    mass = condition.figures["mass_kg"]
    centres = (
        f"{both(key)} ({signed(key, condition.figures[key].delta)})" for key in ("lcg_m", "tcg_m", "vcg_m")
    )
    fill = f"{condition.name} (fill {condition.fill:g})"
    return (fill, both("mass_kg"), signed("mass_kg", mass.delta), *centres)


def _balance(comparison: Comparison) -> Iterator[str]:
    lines = list(balance_lines(comparison))
    yield from lines or ["no hydrostatics recorded, so sinkage, trim and heel are not told"]
    note = comparison.impact.craft.balance.note
    if note:
        yield note
