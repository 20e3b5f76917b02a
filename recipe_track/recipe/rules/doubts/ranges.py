"""The ranges that stand on the fields themselves, over every file of the recipe."""

from collections.abc import Iterator

from recipe_track.errors import Fault
from recipe_track.recipe.fields import RecipeTable
from recipe_track.recipe.ordinary import note_meant, note_ranges
from recipe_track.recipe.paths import PRICES_PATH, material_path, model_path, part_path, zone_path
from recipe_track.recipe.snapshot import Snapshot


def files_of(snapshot: Snapshot) -> Iterator[tuple[str, RecipeTable]]:
    """Every file of the recipe that holds quantities, with its path."""
    yield from ((material_path(name), material) for name, material in snapshot.materials.items())
    if snapshot.prices is not None:
        yield PRICES_PATH, snapshot.prices
    for tree in snapshot.models.values():
        yield model_path(tree.id), tree.model
        yield from ((part_path(tree.id, part.id), part.part) for part in tree.parts.values())
        yield from ((zone_path(tree.id, name), zone) for name, zone in tree.zones.items())


def note_numbers(snapshot: Snapshot) -> Iterator[Fault]:
    """A number lies within the range on its field; what is said to be meant is a key of its table."""
    for path, table in files_of(snapshot):
        yield from note_ranges(table, path)
        yield from note_meant(table, path)


NOTES = (note_numbers,)
