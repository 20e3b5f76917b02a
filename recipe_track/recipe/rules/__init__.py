"""Checks across keys and files: plain functions in a list, a snapshot in, faults out."""

from collections.abc import Callable, Iterable, Iterator

from recipe_track.errors import Fault
from recipe_track.recipe.records import Step
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
# No edit of a zone alone breaks these; all others are asked of edited zones, and of what they touch.
BEYOND_ZONES = (*materials.RULES, *crafts.RULES, crafts.check_price_list, crafts.check_measures)
ZONE_RULES: tuple[Rule, ...] = tuple(rule for rule in RECIPE_RULES if rule not in BEYOND_ZONES)
RECORD_RULES: tuple[Rule, ...] = (*hulls.RULES, *records.RULES)


def check(snapshot: Snapshot, with_records: bool = True) -> Iterator[Fault]:
    """Every fault of a snapshot; without records, only those of the recipe itself."""
    for rule in (*RECIPE_RULES, *(RECORD_RULES if with_records else ())):
        yield from rule(snapshot)


def check_zones(snapshot: Snapshot) -> Iterator[Fault]:
    """Every fault that edited zones bring; with them the snapshot holds what they stand on and carry."""
    for rule in ZONE_RULES:
        yield from rule(snapshot)


def check_added(snapshot: Snapshot, added: Iterable[str]) -> Iterator[Fault]:
    """Every fault that added records bring, and all of the recipe and of hulls.

    For a snapshot that grew from one without faults and lost nothing on the way: older records are about
    what is still there.
    """
    for rule in (*RECIPE_RULES, hulls.check_hulls, hulls.check_renumbered):
        yield from rule(snapshot)
    for name in added:
        record = snapshot.records[name]
        yield from records.faults_of_record(snapshot, name, record)
        if isinstance(record, Step):
            yield from hulls.faults_of_step(snapshot, name, record)


def notes(snapshot: Snapshot) -> Iterator[Fault]:
    """What is allowed but worth a second look."""
    yield from materials.note_mats(snapshot)
    yield from layups.note_ignored_fractions(snapshot)
    for note in doubts.NOTES:
        yield from note(snapshot)
