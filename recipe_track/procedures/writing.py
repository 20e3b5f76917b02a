"""One commit on main for what a person does: an id drawn, rendered, read back, checked, then written."""

import secrets
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any

from recipe_track.errors import InvalidRecipe
from recipe_track.history.commits import commit_record
from recipe_track.history.people import compose, identity
from recipe_track.recipe.fields import RECORD_ALPHABET
from recipe_track.recipe.paths import record_path
from recipe_track.recipe.records import LETTERS, Record
from recipe_track.recipe.rules import RECORD_RULES
from recipe_track.recipe.snapshot import Snapshot
from recipe_track.review.authority import proof_said
from recipe_track.textfiles.meaning.read import read_file
from recipe_track.textfiles.syntax.places import locate
from recipe_track.textfiles.writing.render import to_toml
from recipe_track.workspace import Workspace


@dataclass(frozen=True, slots=True)
class Done:
    """What was done, or in a dry run would be: an id or a label, the commit, lines for people, the files."""

    id: str | None
    commit: str | None
    said: tuple[str, ...] = ()
    files: Mapping[str, bytes] = field(default_factory=dict)
    label: str | None = None
    dry_run: bool = False


@dataclass(frozen=True, slots=True)
class NewRecord:
    """A record that is about to be written: its id, its path, its text, and what it says."""

    id: str
    path: str
    text: bytes
    record: Record


def new_record(
    ws: Workspace, snapshot: Snapshot, kind: str, on: date, record_id: str | None = None, **values: Any
) -> NewRecord:
    """A record by whoever is at work, as text that reads back as the same record."""
    by = str(identity(ws.repo))
    record_id = record_id or new_id(kind, taken_ids(ws, snapshot))
    given = {"kind": kind, "by": by, "on": on, **values}
    data = {key: value for key, value in given.items() if value not in (None, (), {})}
    path = record_path(record_id, on)
    text = to_toml(data).encode()
    return NewRecord(record_id, path, text, _read_back(path, text))


def taken_ids(ws: Workspace, snapshot: Snapshot) -> set[str]:
    """Ids of records on main and of proposals on their branches."""
    return {*snapshot.records, *(branch.id for branch in ws.refs.changes)}


def _read_back(path: str, text: bytes) -> Any:
    record, problems = read_file(path, text)
    if record is None:
        raise InvalidRecipe("the record would not be valid, so nothing was written", problems)
    return record


def with_records(snapshot: Snapshot, *records: NewRecord) -> Snapshot:
    """The snapshot as it will be; raises InvalidRecipe where the new records do not fit what is there."""
    joined = replace(snapshot, records=snapshot.records.joined({new.id: new.record for new in records}))
    texts = {new.path: new.text.decode() for new in records}
    faults = [f for rule in RECORD_RULES for f in rule(joined) if f.file in texts]
    if faults:
        problems = tuple(locate(fault, texts[fault.file]) for fault in faults)
        raise InvalidRecipe("the record does not fit what is on main, so nothing was written", problems)
    return joined


def put_records(
    ws: Workspace,
    *records: NewRecord,
    subject: str,
    body: str = "",
    said: tuple[str, ...] = (),
    files: Mapping[str, bytes] | None = None,
    sign: bool | None = None,
    decides: bool = False,
    dry_run: bool = False,
) -> Done:
    """Put records, with files that belong to them, on main as one commit; the id is the first record's.

    Of a decision it is told whether it proves who made it.
    """
    written = {new.path: new.text for new in records} | dict(files or {})
    message = compose(subject, body)
    commit = None if dry_run else commit_record(ws.repo, ws.main_branch, written, message, sign=sign)
    lines = (*(said or (subject,)), *(proof_said(ws, commit) if decides else ()))
    return Done(records[0].id, commit, lines, written, dry_run=dry_run)


def signs_decisions(snapshot: Snapshot) -> bool | None:
    """Whether a decision has to be signed: True where settings ask for it, else as git is configured."""
    return True if snapshot.settings.approval.signed else None


LENGTH = 6


def new_id(kind: str, taken: Collection[str]) -> str:
    """An id for a new record of a kind that none of those taken has."""
    while True:
        drawn = "".join(secrets.choice(RECORD_ALPHABET) for _ in range(LENGTH))
        record_id = f"{LETTERS[kind]}-{drawn}"
        if record_id not in taken:
            return record_id
