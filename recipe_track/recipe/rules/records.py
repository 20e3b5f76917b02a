"""Rules of hulls and records: each is about something, and says about it what can be said."""

from collections.abc import Collection, Iterator

from recipe_track.errors import Fault, Key
from recipe_track.recipe.paths import hull_path, record_path
from recipe_track.recipe.records import (
    DECISIONS_ABOUT,
    Change,
    Decision,
    Deviation,
    Record,
    Trial,
    Verification,
    Weighing,
)
from recipe_track.recipe.rules.names import unknown
from recipe_track.recipe.snapshot import Snapshot


def check_hulls(snapshot: Snapshot) -> Iterator[Fault]:
    """A hull is of a known model, names each part once, and is not told from another by case alone."""
    numbers: dict[str, str] = {}
    for number, hull in snapshot.hulls.items():
        path = hull_path(number)
        other = numbers.setdefault(number.casefold(), number)
        if other != number:
            message, hint = f"hull {other} is there already", "not every machine tells A1.toml from a1.toml"
            yield Fault(path, (), "repeated-hull", message, hint)
        if hull.model not in snapshot.models:
            yield unknown(path, ("model",), "model", hull.model, snapshot.models)
        seen: set[str] = set()
        for n, part in enumerate(hull.part):
            if part.part in seen:
                message = f"the part `{part.part}` stands here twice"
                yield Fault(path, ("part", n, "part"), "repeated-part", message)
            seen.add(part.part)


def check_records(snapshot: Snapshot) -> Iterator[Fault]:
    """No record is about nothing."""
    for record_id, record in snapshot.records.items():
        path = record_path(record_id, record.on)
        yield from _replaces_faults(snapshot, path, record)
        if isinstance(record, Trial | Deviation):
            yield from _hull_zone_faults(snapshot, path, record)
        if isinstance(record, Change):
            yield from _change_faults(snapshot, path, record)
        if isinstance(record, Decision):
            yield from _decision_faults(snapshot, path, record)
        if isinstance(record, Verification):
            yield from _verification_faults(snapshot, path, record)
        if isinstance(record, Weighing):
            yield from _weighing_faults(snapshot, path, record)
        if isinstance(record, Deviation):
            yield from _deviation_faults(snapshot, path, record)


def _known_only(
    path: str, key: Key, kind: str, name: str, known: Collection[str], of: str = ""
) -> Iterator[Fault]:
    if name not in known:
        yield unknown(path, key, kind, name, known, of=of)


def _replaces_faults(snapshot: Snapshot, path: str, record: Record) -> Iterator[Fault]:
    if record.replaces is None:
        return
    earlier = snapshot.records.get(record.replaces)
    if earlier is None or earlier.kind != record.kind:
        message = f"there is no earlier {record.kind} `{record.replaces}`"
        yield Fault(path, ("replaces",), "unknown-record", message, name=record.replaces)


def _hull_zone_faults(snapshot: Snapshot, path: str, record: Trial | Deviation) -> Iterator[Fault]:
    yield from _known_only(path, ("hull",), "hull", record.hull, snapshot.hulls)
    hull = snapshot.hulls.get(record.hull)
    if hull is not None:
        yield from _known_only(path, ("zone",), "zone", record.zone, snapshot.zone_names(hull.model))


def _change_faults(snapshot: Snapshot, path: str, change: Change) -> Iterator[Fault]:
    yield from _known_only(path, ("model",), "model", change.model, snapshot.models)
    for n, trial in enumerate(change.trials):
        yield from _known_only(path, ("trials", n), "trial", trial, snapshot.records.all_of(Trial))


def _decision_faults(snapshot: Snapshot, path: str, decision: Decision) -> Iterator[Fault]:
    yield from _known_only(path, ("about",), "record", decision.about, snapshot.records)
    words = DECISIONS_ABOUT[decision.about[0]]
    if decision.decision not in words:
        message = f"`{decision.decision}` cannot be said of {decision.about}"
        yield Fault(path, ("decision",), "unfit-decision", message, f"one of {', '.join(words)}")
    if decision.reverification and not decision.about.startswith("C-"):
        message = "a re-verification belongs to a change"
        yield Fault(path, ("reverification",), "unfit-key", message, at="key")
    for n, action in enumerate(decision.hull_action):
        yield from _known_only(path, ("hull_action", n, "hull"), "hull", action.hull, snapshot.hulls)


def _verification_faults(snapshot: Snapshot, path: str, record: Verification) -> Iterator[Fault]:
    yield from _known_only(path, ("about",), "change", record.about, snapshot.records.all_of(Change))
    yield from _known_only(path, ("hull",), "hull", record.hull, snapshot.hulls)
    if record.trial:
        yield from _known_only(path, ("trial",), "trial", record.trial, snapshot.records.all_of(Trial))


def _weighing_faults(snapshot: Snapshot, path: str, record: Weighing) -> Iterator[Fault]:
    yield from _known_only(path, ("hull",), "hull", record.hull, snapshot.hulls)
    hull = snapshot.hulls.get(record.hull)
    if hull is not None:
        parts = ["craft", *(p.part for p in hull.part)]
        yield from _known_only(path, ("part",), "part", record.part, parts, f" of hull {record.hull}")
    if record.tare_kg is not None and record.tare_kg >= record.mass_kg:
        yield Fault(path, ("tare_kg",), "tare-not-less", "the tare is not less than the weighed mass")


def _deviation_faults(snapshot: Snapshot, path: str, record: Deviation) -> Iterator[Fault]:
    for n, layer in enumerate(record.layers):
        key = ("layers", n)
        yield from _known_only(path, (*key, "material"), "material", layer.material, snapshot.materials)
        if layer.instead:
            yield from _known_only(path, (*key, "instead"), "material", layer.instead, snapshot.materials)
        if (layer.action == "substituted") != (layer.instead is not None):
            message = '`instead` goes with `action = "substituted"`, and only with it'
            yield Fault(path, (*key, "action"), "instead-without-substitution", message)


RULES = (check_hulls, check_records)
