"""What a mutant goes through: reading, assembling with the rest of the example, figures, compare, merging."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from recipe_track.figures.craft import figures_of
from recipe_track.figures.materials import NotComputable
from recipe_track.figures.results import ModelFigures
from recipe_track.impact.comparing import compare_models
from recipe_track.recipe.snapshot import Snapshot
from recipe_track.textfiles.writing.merge import is_mergeable, merge
from recipe_track.workspace.assembly import Parsed, Parser, assemble, parse
from recipe_track.workspace.work_tree import working
from tests.example import example_to_look_at

MODEL = "pb98"
LEFT_OUT = ("models/pb98/hull/", "models/pb98/wheelhouse/", "models/pb98/grid/")  # the deck has every form


@dataclass(frozen=True, slots=True)
class Base:
    """The example before the mutation: all of it, and the small recipe that is computed."""

    files: Mapping[str, bytes]
    everything: Parsed
    recipe: Parsed
    snapshot: Snapshot
    figures: ModelFigures
    parser: Parser


@cache
def base() -> Base:
    """The example's files as they lie on main, read once."""
    parser = Parser()
    files = working(example_to_look_at(), with_records=True)
    recipe = {
        path: data for path, data in files.items() if not path.startswith((*LEFT_OUT, "records/", "hulls/"))
    }
    small = parse(recipe, parser)
    reading = assemble(small, with_records=False)
    assert reading.problems == ()
    figures = figures_of(reading.snapshot, MODEL)
    return Base(files, parse(files, parser), small, reading.snapshot, figures, parser)


def go_through(path: str, data: bytes) -> str:
    """Do with a mutant what the commands do, and say how far it came; whatever it raises is a find."""
    known, fresh = base(), Parser()
    mutant = fresh.read(path, data)
    known.parser._known[path, data] = mutant
    try:
        return _assembled(path, data)
    finally:
        del known.parser._known[path, data]


def _assembled(path: str, data: bytes) -> str:
    known = base()
    with_records = path not in known.recipe.files
    parsed = (known.everything if with_records else known.recipe).grown({path: data}, (), known.parser)
    reading = assemble(parsed, with_records)
    for problem in reading.problems:
        assert (problem.line is None) == (problem.column is None), problem
    sound = is_mergeable(path, data)
    if sound:
        assert merge(path, known.files[path], data, known.files[path]) == data, "a merge lost an edit"
    if reading.problems:
        return "told"
    if with_records or MODEL not in reading.snapshot.models:
        return "assembled"
    try:
        figures = figures_of(reading.snapshot, MODEL)
    except NotComputable:
        return "not computable"
    compare_models(known.snapshot, reading.snapshot, MODEL, known.figures, figures)
    return "compared"
