"""Checks across keys and files: plain functions in a list, a snapshot in, faults out."""

from collections.abc import Callable, Iterable, Iterator

from recipe_track.errors import Fault
from recipe_track.recipe.rules import crafts, doubts, hulls, layups, materials, records, stiffeners
from recipe_track.recipe.snapshot import Snapshot

Rule = Callable[[Snapshot], Iterable[Fault]]

RECIPE_RULES: tuple[Rule, ...] = (
    *materials.RULES,
    *crafts.PRICE_RULES,
    *crafts.RULES,
    *layups.RULES,
    *stiffeners.RULES,
)
# What an edited zone alone can bring into a recipe that had no fault.
ZONE_RULES: tuple[Rule, ...] = (crafts.check_prices, crafts.check_formers, *layups.RULES)
RECORD_RULES: tuple[Rule, ...] = (*hulls.RULES, *records.RULES)


def check(snapshot: Snapshot, with_records: bool = True) -> Iterator[Fault]:
    """Every fault of a snapshot; without records, only those of the recipe itself."""
    for rule in (*RECIPE_RULES, *(RECORD_RULES if with_records else ())):
        yield from rule(snapshot)


def check_zones(snapshot: Snapshot) -> Iterator[Fault]:
    """Every fault that edited zones bring; with them the snapshot holds what they stand on and carry."""
    for rule in ZONE_RULES:
        yield from rule(snapshot)


def notes(snapshot: Snapshot) -> Iterator[Fault]:
    """What is allowed but worth a second look."""
    yield from materials.note_mats(snapshot)
    yield from layups.note_ignored_fractions(snapshot)
    for note in doubts.NOTES:
        yield from note(snapshot)
