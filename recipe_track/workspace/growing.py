"""A reading grown from the one before it: edited zones are swapped in, and only what they touch is checked.

Anything else than zones edited within a recipe that had no problem is read whole, so that problems and their
places are those of a first reading.
"""

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, replace

from recipe_track.recipe import rules
from recipe_track.recipe.layup import Zone
from recipe_track.recipe.paths import file_at
from recipe_track.recipe.snapshot import Snapshot
from recipe_track.workspace.assembly import Parsed, Parser, Reading, assemble, join, parse

PastZones = Mapping[str, frozenset[str]]
ZonesOf = Mapping[str, Mapping[str, Zone]]  # by model, by name


@dataclass(frozen=True, slots=True)
class Growth:
    """A recipe on its way through revisions: its files read alone, and what they come to together."""

    parsed: Parsed
    reading: Reading

    def grown(self, edited: Mapping[str, bytes], gone: Collection[str], parser: Parser) -> "Growth":
        """The next revision: some files edited or added, some gone."""
        if not edited and not gone:
            return self
        parsed = self.parsed.grown(edited, gone, parser)
        zones = None if gone or self.reading.problems else _zones_alone(self.parsed, parsed, edited)
        reading = _swapped(self.reading, zones, parsed) if zones is not None else None
        return Growth(parsed, reading or assemble(parsed, with_records=False))

    def grown_with_records(
        self, edited: Mapping[str, bytes], gone: Collection[str], parser: Parser, past: PastZones
    ) -> "Growth":
        """The same of everything that is written, records and hulls included."""
        parsed = self.parsed.grown(edited, gone, parser)
        is_sound = not gone and not self.reading.problems
        reading = _with_added(self, parsed, edited, past) if is_sound else None
        return Growth(parsed, reading or assemble(parsed, True, past))


def nothing_yet(parser: Parser) -> Growth:
    """What a first revision grows from; a recipe without settings has a problem, so that is read whole."""
    parsed = parse({}, parser)
    return Growth(parsed, assemble(parsed, with_records=False))


def _zones_alone(before: Parsed, after: Parsed, edited: Collection[str]) -> ZonesOf | None:
    """The zones edited; None where another file was, or one that is new or cannot be read."""
    zones: dict[str, dict[str, Zone]] = {}
    for path in edited:
        file, zone = file_at(path), after.models.get(path)
        if file is None or file.model is None or not isinstance(zone, Zone):
            return None
        if before.models.get(path) is None or after.problems[path]:
            return None
        zones.setdefault(file.model, {})[file.id] = zone
    return zones


def _swapped(before: Reading, zones: ZonesOf, parsed: Parsed) -> Reading | None:
    """The reading with its edited zones; None where these bring a problem, which is told as a whole."""
    models = dict(before.snapshot.models)
    touched = {}
    for model, edited in zones.items():
        models[model] = models[model].with_zones(edited)
        touched[model] = models[model].only(_concerned(models[model].zones, edited))
    checked = replace(before.snapshot, models=touched)
    if any(True for _ in rules.check_zones(checked)):
        return None
    return Reading(replace(before.snapshot, models=models), (), {})


def _with_added(before: Growth, parsed: Parsed, edited: Collection[str], past: PastZones) -> Reading | None:
    """The reading with records and hulls added, whatever was edited of the recipe; None with any doubt."""
    if not all(_is_plainly_added(before, parsed, path) for path in edited):
        return None
    snapshot, faults = join(parsed.models, past)
    known = before.reading.snapshot
    added = snapshot.records.keys() - known.records.keys()
    if faults or not _names_kept(snapshot, known) or any(True for _ in rules.check_added(snapshot, added)):
        return None
    return Reading(snapshot, (), parsed.files)


def _is_plainly_added(before: Growth, after: Parsed, path: str) -> bool:
    """Whether a file could be read, and says of no record or hull that was there that it is another now."""
    file, model = file_at(path), after.models.get(path)
    if file is None or model is None or after.problems[path]:
        return False
    if file.kind not in ("record", "hull"):
        return True
    known = before.reading.snapshot
    there = path in before.parsed.files or file.id in known.records or file.id in known.hulls
    return not there and not getattr(model, "replaces", None) and not getattr(model, "was", None)


def _names_kept(snapshot: Snapshot, before: Snapshot) -> bool:
    """Whether zones still have all names that a record can know them by: an edit may take one out."""
    return all(before.zone_names(model) <= snapshot.zone_names(model) for model in before.models)


def _concerned(zones: Mapping[str, Zone], edited: Mapping[str, Zone]) -> Iterator[str]:
    """Edited zones, those they stand on, and those that stand on them."""
    yield from edited
    yield from (zone.attached for zone in edited.values() if zone.attached and zone.attached in zones)
    yield from (name for name, zone in zones.items() if zone.attached in edited)
