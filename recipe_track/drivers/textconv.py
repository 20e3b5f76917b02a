"""A zone or material as text that reads well in a diff: one layer, one direction, one value a line."""

import re
from collections.abc import Iterable, Iterator, Mapping

from recipe_track.errors import Key
from recipe_track.impact.rows import view
from recipe_track.present.words.layers import layer_words
from recipe_track.present.words.plain import visible
from recipe_track.present.words.units import angle_words
from recipe_track.recipe.fields import RecipeTable
from recipe_track.recipe.layup import Layer, Zone
from recipe_track.recipe.materials import Direction, Reinforcement
from recipe_track.recipe.quantities import quantities_of
from recipe_track.textfiles.meaning.read import read_file
from recipe_track.textfiles.syntax.places import Place, positions

_COMMA = re.compile(r"(#[^\n]*)|,")
_SAID = ("tag", "extent", "name", "source", "note")
Places = Mapping[Key, Place]
Rewrite = tuple[int, int, str]


def diff_text(data: bytes) -> bytes:
    """The file for a line-by-line diff; one that is neither a valid zone nor a material stays as it is.

    Its path is not asked for: git hands over a temporary file. Comments and all other lines are kept.
    """
    if b"\r" in data:
        return data
    for path, key in (("models/m/p/z.toml", b"layup"), ("materials/m.toml", b"kind")):
        written = read_file(path, data)[0] if key in data else None
        if written is not None:
            text = data.decode()
            return _shown(_put(text, _pieces(text, written))).encode()
    return data


def _pieces(text: str, written: object) -> list[Rewrite]:
    """Pieces of the text to be written otherwise: start, end, what stands there instead."""
    places = positions(text)
    if isinstance(written, Zone):
        return list(_rows(text, places, "layup", map(_layer_words, written.layup)))
    pieces: list[Rewrite] = []
    if isinstance(written, Reinforcement):
        pieces += _rows(text, places, "directions", map(_direction_words, written.directions))
    for key, place in places.items():
        if len(key) == 1 and text[place.value.start] == "{":
            pieces.append(_entries(text, places, key, place))
    return pieces


def _put(text: str, pieces: Iterable[Rewrite]) -> str:
    for start, end, words in sorted(pieces, reverse=True):
        text = text[:start] + words + text[end:]
    return text


def _shown(text: str) -> str:
    """Text as data: what would act on a terminal becomes a symbol, tabs stay."""
    return "\n".join("\t".join(map(visible, line.split("\t"))) for line in text.split("\n"))


def _rows(text: str, places: Places, key: str, words: Iterable[str | None]) -> Iterator[Rewrite]:
    """The rows of a list in words, each on a line of its own; None leaves a row as it is written."""
    if (key,) not in places:
        return
    whole = places[(key,)].value
    at, closing = whole.start + 1, whole.start + whole.length - 1
    for n, said in enumerate(words):
        row = places[(key, n)].value
        if text[row.start] != "{":
            return  # [[layup]] tables have a line for each key already
        yield at, row.start, _gap(text[at : row.start], "\n  ")
        at = row.start + row.length
        yield row.start, at, text[row.start : at] if said is None else said
    yield at, closing, _gap(text[at:closing], "\n")


def _gap(text: str, line_start: str) -> str:
    """What stands between two rows without the comma, and with a line end."""
    return _COMMA.sub(lambda match: match[1] or "", text) if "\n" in text else line_start


def _entries(text: str, places: Places, key: Key, place: Place) -> Rewrite:
    """The entries of a table in braces, each on a line of its own."""
    inner = [place for other, place in places.items() if other[:-1] == key]
    lines = [f"  {text[p.key.start : p.value.start + p.value.length]}\n" for p in inner]
    start = place.value.start
    return start, start + place.value.length, "{\n" + "".join(lines) + "}"


def _layer_words(layer: Layer) -> str | None:
    if not all(_is_exact(getattr(layer, key)) for key in quantities_of(Layer)):
        return None
    if not _is_exact(100 * layer.coverage_fraction):
        return None
    # Materials lie in other files: an angle that is not written is not shown, as for a mat.
    mats = () if "angle_deg" in layer.model_fields_set else (layer.material,)
    return "  ".join([layer_words(view(0, layer, layer.plies), mats), *_typed(layer)])


def _direction_words(direction: Direction) -> str | None:
    if not (_is_exact(direction.angle_deg) and _is_exact(100 * direction.share)):
        return None
    turned = "random" if direction.angle_deg is None else angle_words(direction.angle_deg)
    fibre = f" of {direction.fibre}" if direction.fibre else ""
    return "  ".join([turned, f"{100 * direction.share:g} %{fibre}", *_typed(direction)])


def _typed(row: RecipeTable) -> list[str]:
    """What people typed beside the numbers."""
    said = ((key, getattr(row, key, None)) for key in _SAID)
    meant = (f"meant: {key} {value.value} ({value.why})" for key, value in row.plausible.items())
    return [*(f"{key}: {visible(value)}" for key, value in said if value is not None), *map(visible, meant)]


def _is_exact(number: float | None) -> bool:
    """Whether few digits say all of a number, so that no change hides in those left out."""
    return number is None or abs(float(f"{number:g}") - number) <= 1e-12 * abs(number)
