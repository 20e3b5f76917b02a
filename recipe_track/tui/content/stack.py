"""The aligned stacks as lines: a sign and a word for what became of each layer, and its weight."""

from collections.abc import Collection
from dataclasses import dataclass

from recipe_track.figures.results import SectionLayer
from recipe_track.impact.effects import ZoneImpact
from recipe_track.impact.rows import LayerView, Row
from recipe_track.present.terminal.stacks import sections_of
from recipe_track.present.words.layers import details, layer_words, row_sign
from recipe_track.present.words.units import signed_quantity, signed_whole, unit_of
from recipe_track.tui.content.comparison import ComparisonView

_MARK_WORDS = {
    "kept": "",
    "altered": "altered",
    "replaced": "replaced",
    "added": "added",
    "removed": "removed",
    "moved": "moved",
}


_SECTION_LABEL = 3


@dataclass(frozen=True, slots=True)
class StackLine:
    """One row of the alignment; `pair` says both sides in one text, for narrow screens."""

    mark: str
    sign: str
    word: str
    before: str
    after: str
    pair: str
    effect: str


@dataclass(frozen=True, slots=True)
class Stacks:
    """Everything that is drawn of a zone's two stacks."""

    before_head: str
    after_head: str
    lines: tuple[StackLine, ...]
    sections: tuple[tuple[SectionLayer, ...], tuple[SectionLayer, ...]]
    labels: tuple[str, str]


def stacks_of(view: ComparisonView, zone: ZoneImpact, heads: tuple[str, str]) -> Stacks:
    """The rows of a zone's alignment and its sections."""
    comparison = view.comparison
    sections = sections_of(zone, comparison)
    mats = {layer.material for section in sections for layer in section if layer.look == "mat"}
    effects = {edit.row: edit.effects.get("mass_kg") for edit in zone.edits}
    lines = tuple(_line(row, mats, effects.get(n)) for n, row in enumerate(zone.layers))
    labels = tuple(head.split("  ")[0] for head in heads)
    fits = all(len(label) <= _SECTION_LABEL for label in labels)
    return Stacks(*heads, lines, sections, (labels[0], labels[1]) if fits else ("old", "new"))


def kilograms(change: float) -> str:
    """A change of mass with sign and unit, in eight characters as long as it stays below ten tonnes."""
    if abs(change) < 99.95:
        return signed_quantity("mass_kg", change)
    return f"{signed_whole(change)} {unit_of('mass_kg')}"


def _line(row: Row, mats: Collection[str], mass: float | None) -> StackLine:
    before, after = layer_words(row.before, mats), layer_words(row.after, mats)
    if row.mark == "moved" and row.before is not None:
        before = f"{before}  was line {row.before.line}"
    effect = "" if row.mark == "kept" or mass is None else kilograms(mass)
    pair = _pair(row, before, after, mats)
    return StackLine(row.mark, row_sign(row), _MARK_WORDS[row.mark], before, after, pair, effect)


def _pair(row: Row, before: str, after: str, mats: Collection[str]) -> str:
    if row.mark in ("kept", "added") or row.before is None or row.after is None:
        return after or before
    if row.mark == "moved":
        return f"{after}  was line {row.before.line}"
    if row.mark == "replaced":
        return f"{before}  →  {after}"
    name = layer_words(row.after, mats).split("  ", 1)[0]
    old, new = (_said(layer, layer.material in mats) for layer in (row.before, row.after))
    return f"{name}  {old}  →  {new}"


def _said(layer: LayerView, is_mat: bool) -> str:
    return "  ".join(details(layer, is_mat)) or "as usual"
