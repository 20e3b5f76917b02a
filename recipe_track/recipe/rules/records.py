"""Rules of records: each is about something, and says about it what can be said."""

import re
from collections.abc import Iterator

from recipe_track.errors import Fault
from recipe_track.recipe.paths import PRICES_PATH, RECORD_ID_PATTERN, SETTINGS_PATH, record_path
from recipe_track.recipe.records import (
    CONFIRMED,
    DECISIONS_ABOUT,
    SAME_AS,
    Action,
    Change,
    Decision,
    Deviation,
    Edit,
    Record,
    Trial,
    Verification,
    Weighing,
)
from recipe_track.recipe.rules.names import known_only
from recipe_track.recipe.snapshot import Snapshot

GOVERNED_FOLDERS = ("models/", "materials/")
GOVERNED_FILES = (PRICES_PATH, SETTINGS_PATH)
ACTIONS_ABOUT = "TCN"  # letters of what can be acted on
FINDING_ID = re.compile(r"[a-z]+(-[a-z]+)* \S.*")
OUTSIDE = frozenset(("", ".", "..", ".git"))  # pieces of a path that leads out of the repository, or nowhere
SEPARATORS = frozenset("\\:")  # of folders and drives on some systems


def check_records(snapshot: Snapshot) -> Iterator[Fault]:
    """No record is about nothing; one that was corrected is history, and its correction is looked at."""
    for record_id, record in snapshot.records.items():
        if not snapshot.records.is_corrected(record_id):
            yield from faults_of_record(snapshot, record_id, record)


def faults_of_record(snapshot: Snapshot, record_id: str, record: Record) -> Iterator[Fault]:
    """Those of one record."""
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
    if isinstance(record, Action):
        yield from _action_faults(snapshot, path, record)
    if isinstance(record, Trial | Action):
        yield from _attachment_faults(path, record)


def _replaces_faults(snapshot: Snapshot, path: str, record: Record) -> Iterator[Fault]:
    if record.replaces is None:
        return
    if isinstance(record, Change) and record.replaces not in snapshot.records:
        return  # a proposal that was replaced before anyone decided stays on its branch
    earlier = snapshot.records.get(record.replaces)
    if earlier is None or earlier.kind != record.kind:
        message = f"there is no earlier {record.kind} `{record.replaces}`"
        yield Fault(path, ("replaces",), "unknown-record", message, name=record.replaces)


def _hull_zone_faults(snapshot: Snapshot, path: str, record: Trial | Deviation) -> Iterator[Fault]:
    yield from known_only(path, ("hull",), "hull", record.hull, snapshot.hulls)
    hull = snapshot.hulls.get(record.hull)
    if hull is not None and hull.model in snapshot.models:
        yield from known_only(path, ("zone",), "zone", record.zone, snapshot.zone_names(hull.model))


def _change_faults(snapshot: Snapshot, path: str, change: Change) -> Iterator[Fault]:
    records = snapshot.records
    if change.model is not None:
        yield from known_only(path, ("model",), "model", change.model, snapshot.models)
    elif any(edit.path.startswith("models/") for edit in change.edit):
        message, hint = "the key `model` is missing", "only a change of shared files has none"
        yield Fault(path, ("model",), "missing-key", message, hint)
    for n, trial in enumerate(change.trials):
        yield from known_only(path, ("trials", n), "trial", trial, records.all_of(Trial))
    answered = {**records.all_of(Deviation), **records.all_of(Verification)}
    for n, answer in enumerate(change.answers):
        yield from known_only(path, ("answers", n), "record", answer, answered)
    for n, edit in enumerate(change.edit):
        yield from _edit_faults(path, n, edit)


def _edit_faults(path: str, n: int, edit: Edit) -> Iterator[Fault]:
    if edit.path not in GOVERNED_FILES and not edit.path.startswith(GOVERNED_FOLDERS):
        where = ", ".join((*GOVERNED_FOLDERS, *GOVERNED_FILES))
        message = f"`{edit.path}` needs no decision"
        yield Fault(path, ("edit", n, "path"), "edit-not-governed", message, f"edits are of {where}")
    if edit.before == edit.after:
        message, hint = "an edit that changes nothing", "`before` and `after` are the same"
        yield Fault(path, ("edit", n), "edit-of-nothing", message, hint)


def _decision_faults(snapshot: Snapshot, path: str, decision: Decision) -> Iterator[Fault]:
    yield from known_only(path, ("about",), "record", decision.about, snapshot.records)
    words = (*DECISIONS_ABOUT.get(decision.about[0], ()), CONFIRMED)
    if decision.decision not in words:
        message = f"`{decision.decision}` cannot be said of {decision.about}"
        yield Fault(path, ("decision",), "unfit-decision", message, f"one of {', '.join(words)}")
    is_named = decision.about.startswith("C-") or decision.decision == CONFIRMED
    if is_named and not decision.decides:
        hint = f"`decides` is the blob of {decision.about} as it was decided"
        yield Fault(path, ("decides",), "missing-key", "the key `decides` is missing", hint)
    if decision.reverification and decision.about[0] not in "CN":
        message = "a re-verification belongs to a change or a deviation"
        yield Fault(path, ("reverification",), "unfit-key", message, at="key")
    if decision.hull_action and not decision.about.startswith("C-"):
        message = "a hull action belongs to a change"
        yield Fault(path, ("hull_action",), "unfit-key", message, at="key")
    for n, action in enumerate(decision.hull_action):
        yield from known_only(path, ("hull_action", n, "hull"), "hull", action.hull, snapshot.hulls)
    yield from _same_as_faults(snapshot, path, decision)


def _same_as_faults(snapshot: Snapshot, path: str, decision: Decision) -> Iterator[Fault]:
    """An observation that was made before says which one it is; no other decision does."""
    if (decision.decision == SAME_AS) != (decision.same_as is not None):
        message = f'`same_as` goes with `decision = "{SAME_AS}"`, and only with it'
        yield Fault(path, ("decision",), "same-as-without-decision", message)
    elif decision.same_as is not None:
        yield from known_only(path, ("same_as",), "trial", decision.same_as, snapshot.records.all_of(Trial))
        if decision.same_as == decision.about:
            message = f"{decision.about} is not the same as itself"
            yield Fault(path, ("same_as",), "same-as-itself", message)


def _verification_faults(snapshot: Snapshot, path: str, record: Verification) -> Iterator[Fault]:
    yield from known_only(path, ("about",), "change", record.about, snapshot.records.all_of(Change))
    yield from known_only(path, ("hull",), "hull", record.hull, snapshot.hulls)
    if record.trial:
        yield from known_only(path, ("trial",), "trial", record.trial, snapshot.records.all_of(Trial))


def _weighing_faults(snapshot: Snapshot, path: str, record: Weighing) -> Iterator[Fault]:
    yield from known_only(path, ("hull",), "hull", record.hull, snapshot.hulls)
    hull = snapshot.hulls.get(record.hull)
    if hull is not None:
        parts = ["craft", *(p.part for p in snapshot.hull_parts(record.hull))]
        yield from known_only(path, ("part",), "part", record.part, parts, f" of hull {record.hull}")
    if record.tare_kg is not None and record.tare_kg >= record.mass_kg:
        yield Fault(path, ("tare_kg",), "tare-not-less", "the tare is not less than the weighed mass")


def _deviation_faults(snapshot: Snapshot, path: str, record: Deviation) -> Iterator[Fault]:
    for n, layer in enumerate(record.layers):
        key = ("layers", n)
        yield from known_only(path, (*key, "material"), "material", layer.material, snapshot.materials)
        if layer.instead:
            yield from known_only(path, (*key, "instead"), "material", layer.instead, snapshot.materials)
        if (layer.action == "substituted") != (layer.instead is not None):
            message = '`instead` goes with `action = "substituted"`, and only with it'
            yield Fault(path, (*key, "action"), "instead-without-substitution", message)


def _action_faults(snapshot: Snapshot, path: str, action: Action) -> Iterator[Fault]:
    """An action is about an observation, a change, a deviation, or a finding: its rule and its subject."""
    if RECORD_ID_PATTERN.fullmatch(action.about):
        yield from known_only(path, ("about",), "record", action.about, snapshot.records)
        if action.about[0] not in ACTIONS_ABOUT:
            hint = "an observation, a change, a deviation or a finding of the audit"
            message = f"an action is not about {action.about}"
            yield Fault(path, ("about",), "unfit-action", message, hint)
    elif not FINDING_ID.fullmatch(action.about):
        hint = "a record id, or a finding as `audit` prints it: its rule and what it is about"
        message = f"`{action.about}` is neither a record nor a finding"
        yield Fault(path, ("about",), "unfit-action", message, hint)
    if (action.document is None) != (action.body is None):
        given = "body" if action.document is None else "document"
        yield Fault(path, (given,), "document-without-body", "`document` and `body` go together", at="key")


def _attachment_faults(path: str, record: Trial | Action) -> Iterator[Fault]:
    """What is attached lies in the repository, and not in git's own folder."""
    for n, attachment in enumerate(record.attachments):
        pieces = attachment.path.lower().split("/")
        if not OUTSIDE.isdisjoint(pieces) or not SEPARATORS.isdisjoint(attachment.path):
            hint = "a path from the top of the repository, with `/`"
            key = ("attachments", n, "path")
            message = f"`{attachment.path}` does not lie in the repository"
            yield Fault(path, key, "attachment-outside", message, hint)


RULES = (check_records,)
