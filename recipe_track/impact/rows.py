"""An alignment as people read it: one row per run of plies that share a mark and a line."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from recipe_track.impact.align import Alignment, Ply
from recipe_track.recipe.layup import Layer

Mark = Literal["kept", "altered", "replaced", "added", "removed", "moved"]


@dataclass(frozen=True, slots=True)
class LayerView:
    """So many plies of one line as it is written; `plies` counts those of the row."""

    line: int
    material: str
    plies: int
    angle_deg: float
    thickness_mm: float | None
    fibre_mass_fraction: float | None
    flipped: bool
    coverage_fraction: float
    note: str | None
    process: str | None = None
    resin: str | None = None
    uptake_g_m2: float | None = None
    stage: int = 1
    tag: str | None = None
    extent: str | None = None
    on: str = "all"


@dataclass(frozen=True, slots=True)
class Row:
    """What became of some plies of one line."""

    mark: Mark
    before: LayerView | None
    after: LayerView | None


@dataclass(frozen=True, slots=True)
class Rows:
    """The rows of an alignment, and for each ply of either stack the row it stands in."""

    rows: tuple[Row, ...]
    of_before: tuple[int, ...]
    of_after: tuple[int, ...]


@dataclass(slots=True)
class _Run:
    mark: Mark
    before: Ply | None
    after: Ply | None
    plies: int = 0

    def lines(self) -> tuple[Mark, int | None, int | None]:
        return self.mark, _line(self.before), _line(self.after)


def _line(ply: Ply | None) -> int | None:
    return None if ply is None else ply.line


def view(line: int, layer: Layer, plies: int) -> LayerView:
    """Some plies of a line."""
    return LayerView(
        line, layer.material, plies, layer.angle_deg, layer.thickness_mm, layer.fibre_mass_fraction,
        layer.flipped, layer.coverage_fraction, layer.note, layer.process, layer.resin, layer.uptake_g_m2,
        layer.stage, layer.tag, layer.extent, layer.on,
    )  # fmt: skip


def mark_of(before: Ply, after: Ply) -> Mark:
    """What two paired plies say of each other."""
    if before.values == after.values:
        return "kept"
    return "altered" if before.layer.material == after.layer.material else "replaced"


def rows_of(alignment: Alignment) -> Rows:
    """Rows in after's order; removed ones precede added ones at the same place."""
    runs: list[_Run] = []
    of_before, of_after = [0] * len(alignment.before), [0] * len(alignment.after)
    came_from = {j: i for i, j in alignment.moves}
    gone = {i for i, _ in alignment.moves}
    for i, j in alignment.slots():
        if j is None and i in gone:
            continue  # its row stands where the ply went to
        if i is None and j is not None:
            i = came_from.get(j)
        place = _collected(runs, _run(alignment, i, j, moved=j in came_from))
        if i is not None:
            of_before[i] = place
        if j is not None:
            of_after[j] = place
    return Rows(tuple(map(_row, runs)), tuple(of_before), tuple(of_after))


def _run(alignment: Alignment, i: int | None, j: int | None, *, moved: bool) -> _Run:
    before = None if i is None else alignment.before[i]
    after = None if j is None else alignment.after[j]
    if before is None:
        return _Run("added", None, after)
    if after is None:
        return _Run("removed", before, None)
    return _Run("moved" if moved else mark_of(before, after), before, after)


def _collected(runs: list[_Run], new: _Run) -> int:
    """Adds one ply to its run and tells the run's place.

    Plies of one line are alike, so their order within after's line says nothing: a run may be rejoined
    across other runs of that line, but never across another line.
    """
    place = len(runs) - 1
    while place >= 0:
        if runs[place].lines() == new.lines():
            runs[place].plies += 1
            return place
        if new.after is None or runs[place].lines()[2] != new.after.line:
            break
        place -= 1
    new.plies = 1
    runs.append(new)
    return len(runs) - 1


def _row(run: _Run) -> Row:
    return Row(run.mark, _run_view(run.before, run.plies), _run_view(run.after, run.plies))


def _run_view(ply: Ply | None, plies: int) -> LayerView | None:
    return None if ply is None else view(ply.line, ply.layer, plies)


def changed_places(rows: Sequence[Row]) -> tuple[int, ...]:
    """Places of the rows that say a change."""
    return tuple(n for n, row in enumerate(rows) if row.mark != "kept")
