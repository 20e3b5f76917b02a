"""One commit on main for what a person does: an id drawn, rendered, read back, checked, then written."""

import secrets
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from typing import Any

from recipe_track.errors import CallError, InvalidRecipe, Refused
from recipe_track.history.commit_to_main import commit_record
from recipe_track.history.objects import differing
from recipe_track.history.people import Person, compose, identity
from recipe_track.history.record_signatures import SUFFIX, sign_record, verify_record
from recipe_track.recipe.fields import RECORD_ALPHABET
from recipe_track.recipe.paths import record_at, record_path
from recipe_track.recipe.people import mail_of
from recipe_track.recipe.records import LETTERS, Decision, Record
from recipe_track.recipe.rules import RECORD_RULES
from recipe_track.recipe.snapshot import Snapshot
from recipe_track.review.authority import NOT_PROVEN
from recipe_track.textfiles.meaning.read import read_file
from recipe_track.textfiles.syntax.places import locate
from recipe_track.textfiles.writing.render import to_toml
from recipe_track.workspace import Workspace
from recipe_track.workspace.leftovers import leftovers, note_lines


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
    """A record by whoever is at work, as text that reads back as the same record.

    Refused with a date ahead of today: what has not happened yet is not on record.
    """
    if on > date.today():
        raise CallError(f"{on} is ahead of today", "a record is of today or of a day before")
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


def require_not_before(decision: date, subject: date, about: str) -> None:
    """Refuse a decision of a day before what it decides; a day is left for clocks around the world."""
    if decision < subject - timedelta(days=1):
        raise CallError(f"{about} is of {subject}, and cannot be decided on {decision}", "--on DATE")


def with_records(snapshot: Snapshot, *records: NewRecord) -> Snapshot:
    """The snapshot as it will be; raises InvalidRecipe where the new records do not fit what is there."""
    for new in records:
        subject = snapshot.records.get(new.record.about) if isinstance(new.record, Decision) else None
        if subject is not None:
            require_not_before(new.record.on, subject.on, str(getattr(new.record, "about", "")))
    joined = replace(snapshot, records=snapshot.records.joined({new.id: new.record for new in records}))
    texts = {new.path: new.text for new in records}
    faults = [f for rule in RECORD_RULES for f in rule(joined) if f.file in texts]
    if faults:
        problems = tuple(locate(fault, texts[fault.file]) for fault in faults)
        raise InvalidRecipe("the record does not fit what is on main, so nothing was written", problems)
    return joined


def signed_files(ws: Workspace, snapshot: Snapshot, *records: NewRecord) -> dict[str, bytes]:
    """The files of records; with the signature beside each where settings ask for it, else refused."""
    files = {record.path: record.text for record in records}
    if snapshot.settings.approval.signed:
        for record in records:
            files[f"{record.path}{SUFFIX}"] = _signature(ws, snapshot, record)
    return files


def _signature(ws: Workspace, snapshot: Snapshot, record: NewRecord) -> bytes:
    made = sign_record(ws.repo, record.text)
    keys = snapshot.settings.approval.keys
    verdict = verify_record(record.text, made, mail_of(record.record.by), keys).verdict
    if verdict != "good":
        raise Refused(
            "it could be signed, but nobody vouches for your key here, so nothing was written",
            "have `mail ssh-ed25519 …` put among approval.keys in recipe-track.toml on main",
        )
    return made


def proof_of(snapshot: Snapshot) -> str:
    """What is told about a decision just written."""
    return "signed" if snapshot.settings.approval.signed else NOT_PROVEN


def put_records(
    ws: Workspace,
    *records: NewRecord,
    subject: str,
    body: str = "",
    said: tuple[str, ...] = (),
    files: Mapping[str, bytes] | None = None,
    decides: bool = False,
    author: Person | None = None,
    dry_run: bool = False,
) -> Done:
    """Put records, with files that belong to them, on main as one commit; the id is the first record's.

    A decision is signed where settings ask for it, and it is told whether it proves who made it. `author` is
    who brought the further files, if someone else did.
    """
    snapshot = ws.current()
    own = signed_files(ws, snapshot, *records) if decides and not dry_run else _plain_files(records)
    written = own | dict(files or {})
    message = compose(subject, body)
    commit = None
    if not dry_run:
        commit = commit_record(
            ws.repo, ws.main_branch, written, message, base=ws.refs.main, author=author,
            moved=lambda tip: require_not_said(ws, records, tip),
        )  # fmt: skip
    told = (*(said or (subject,)), *((proof_of(snapshot),) if decides and commit else ()), *noted(ws))
    return Done(records[0].id, commit, told, written, dry_run=dry_run)


def noted(ws: Workspace) -> tuple[str, ...]:
    """What is told beside the answer: what was not done as meant, and what runs before have left here."""
    return (*ws.repo.notes, *note_lines(leftovers(ws)))


def require_not_said(ws: Workspace, records: Iterable[NewRecord], tip: str) -> None:
    """Refuse where main has gone on to a decision, or a correction, of just what these are about.

    What was looked at before is no longer so: the same command, started twice at once, decides once.
    """
    said = {subject for new in records for subject in _settled(new.record)}
    added = [edit.path for edit in differing(ws.repo, ws.refs.main, tip) if edit.new is not None]
    names = [name for path in added if said and (name := record_at(path)) is not None]
    for name, record in ws.records_named(tip, names).items():
        if said & set(_settled(record)):
            raise Refused(
                "main has gone on meanwhile to a record of just this, so nothing was written",
                "look at it and try again", (name,),
            )  # fmt: skip


def _settled(record: Record) -> Iterator[tuple[str, str]]:
    """What a record settles, so that a second one of the same would not have been let through."""
    if isinstance(record, Decision):
        yield "decided", record.about
    if record.replaces:
        yield "replaced", record.replaces


def _plain_files(records: Iterable[NewRecord]) -> dict[str, bytes]:
    return {record.path: record.text for record in records}


LENGTH = 6


def new_id(kind: str, taken: Collection[str]) -> str:
    """An id for a new record of a kind that none of those taken has."""
    while True:
        drawn = "".join(secrets.choice(RECORD_ALPHABET) for _ in range(LENGTH))
        record_id = f"{LETTERS[kind]}-{drawn}"
        if record_id not in taken:
            return record_id
