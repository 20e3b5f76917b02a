"""Hulls: planned to a release, moved on step by step, part by part, and weighed."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date

from recipe_track.errors import CallError, Refused
from recipe_track.history.commit_to_main import commit_record
from recipe_track.history.objects import differing
from recipe_track.history.people import compose
from recipe_track.history.refs import Release
from recipe_track.procedures.doubts import delivery_doubts, require_meant, step_doubts, weighing_doubts
from recipe_track.procedures.writing import Done, NewRecord, new_record, noted, put_records, with_records
from recipe_track.recipe.hulls import OPEN, HullPart, goes_back
from recipe_track.recipe.ledger import Records
from recipe_track.recipe.paths import hull_path, part_of, record_at
from recipe_track.recipe.records import Change, Record, Step, Weighing
from recipe_track.recipe.snapshot import Snapshot
from recipe_track.recipe.states import holds_by_zone
from recipe_track.review.choosing import (
    hull_named,
    hull_part_named,
    one_of,
    record_named,
    release_named,
    require_hull_number,
)
from recipe_track.review.hull.effectivity import contains, effectivity_of, lacking_changes
from recipe_track.textfiles.meaning.read import read_file
from recipe_track.textfiles.writing.render import to_toml
from recipe_track.workspace import Workspace


@dataclass(frozen=True, slots=True)
class HullEntry:
    """A hull that is to be: its model and first release, whose it is, and the number it had before."""

    number: str
    model: str
    revision: str
    on: date
    customer: str | None = None
    state: str | None = None
    was: str | None = None
    note: str | None = None


@dataclass(frozen=True, slots=True)
class StepEntry:
    """A step of a part, or with no part of the whole hull."""

    hull: str
    state: str
    on: date
    part: str | None = None
    revision: str | None = None
    done: tuple[str, ...] = ()
    from_hull: str | None = None
    note: str | None = None
    meant: bool = False


@dataclass(frozen=True, slots=True)
class WeighingEntry:
    """What the scales said."""

    hull: str
    part: str
    mass_kg: float
    state: str
    on: date
    tare_kg: float | None = None
    uncertainty_kg: float | None = None
    includes: str | None = None
    note: str | None = None
    meant: bool = False


def add_hull(ws: Workspace, entry: HullEntry, dry_run: bool = False) -> Done:
    """Plan a hull: every part of the model to the release; a renumbered hull keeps its steps."""
    snapshot = ws.current()
    number = entry.number
    require_hull_number(number)
    known = next((n for n in snapshot.hulls if n.casefold() == number.casefold()), None)
    if known is not None:  # not every machine tells a1.toml from A1.toml
        raise Refused(f"hull {known} is there already", "`hull part` moves its parts on")
    one_of("model", entry.model, snapshot.models)
    release = release_named(ws, entry.model, entry.revision)
    file = _hull_file(snapshot, entry, release)
    steps = tuple(_first_steps(ws, snapshot, entry, release)) if entry.was is None else ()
    what = f"Plan hull {number} to {release.label} of {entry.model}"
    subject = what if entry.was is None else f"Call hull {entry.was} hull {number}"
    return _put(ws, number, steps, subject, files={hull_path(number): file}, dry_run=dry_run)


def _hull_file(snapshot: Snapshot, entry: HullEntry, release: Release) -> bytes:
    if entry.was is not None and hull_named(snapshot, entry.was).model != entry.model:
        raise CallError(f"hull {entry.was} is no {entry.model}", "a renumbered hull stays of its model")
    values = {
        "model": entry.model,
        "first_release": release.label,
        "customer_reference": entry.customer,
        "was": entry.was,
    }
    text = to_toml({key: value for key, value in values.items() if value is not None}).encode()
    hull, problems = read_file(hull_path(entry.number), text)
    assert hull is not None, problems
    return text


def _first_steps(
    ws: Workspace, snapshot: Snapshot, entry: HullEntry, release: Release
) -> Iterator[NewRecord]:
    """Every part of the model planned, and the whole hull where its state is said."""
    tree = ws.read(ws.revision_of(release.commit, entry.model)).snapshot.models[entry.model]
    for part in sorted(tree.parts):
        step = StepEntry(entry.number, "planned", entry.on, part, release.label)
        yield _step(ws, snapshot, step, release=release)
    if entry.state is not None and entry.state != "planned":
        yield _step(ws, snapshot, StepEntry(entry.number, entry.state, entry.on, note=entry.note))


def _step(
    ws: Workspace, snapshot: Snapshot, entry: StepEntry, *, release: Release | None = None,
    after: str | None = None,
) -> NewRecord:  # fmt: skip
    values = {"from": entry.from_hull} if entry.from_hull else {}
    return new_record(
        ws, snapshot, "step", entry.on, hull=entry.hull, part=entry.part, state=entry.state,
        revision=release.label if release else None, commit=release.commit if release else None,
        after=after, done=entry.done, note=entry.note, **values,
    )  # fmt: skip


def move_part(ws: Workspace, entry: StepEntry, dry_run: bool = False) -> Done:
    """Move a part of a hull on; what lies in a mould keeps its release unless all changes to it are done."""
    snapshot = ws.current()
    hull = hull_named(snapshot, entry.hull)
    part = str(entry.part)
    known = snapshot.hull_state(entry.hull).part(part)
    before = _before(snapshot, entry, known)
    entry = replace(entry, done=tuple(_done(snapshot, entry.done)))
    release = _release_for(ws, snapshot, hull.model, entry, known)
    _require_way(snapshot, entry, before, release)
    after = before.step if before else None
    new = _step(ws, snapshot, entry, release=release, after=after)
    label = release.label if release else before.revision if before else ""
    subject = f"Hull {entry.hull}: {part} {entry.state}, {label}"
    return _put(ws, new.id, (new,), subject, _held(snapshot, hull.model, part), dry_run=dry_run)


def _before(snapshot: Snapshot, entry: StepEntry, known: HullPart | None) -> HullPart | None:
    """The part as it stands: on this hull, or on the one it comes from."""
    if entry.from_hull is None:
        return known
    if entry.from_hull == entry.hull:
        raise CallError("a part cannot come from its own hull")
    hull_named(snapshot, entry.from_hull)
    if known is not None and known.is_started:
        raise Refused(
            f"{entry.part} of hull {entry.hull} is {known.state}, so there is no room for another",
            "record what became of it first: --state scrapped",
        )
    return hull_part_named(snapshot, entry.from_hull, str(entry.part))


def _done(snapshot: Snapshot, changes: Sequence[str]) -> Iterator[str]:
    for change in changes:
        record_named(snapshot, change, Change, "change on main")
        if snapshot.records.last_decision(change.upper()) != "approved":
            raise Refused(f"{change.upper()} is not approved, so it cannot be carried out")
        yield change.upper()


def _release_for(
    ws: Workspace, snapshot: Snapshot, model: str, entry: StepEntry, known: HullPart | None
) -> Release | None:
    """The release a part is to be built to; None leaves it as it is."""
    if entry.revision is None:
        if known is None and entry.from_hull is None:
            raise CallError(
                f"hull {entry.hull} has no part `{entry.part}` yet", "say what it is built to: --revision r7"
            )
        return None
    release = release_named(ws, model, entry.revision)
    tree = ws.read(ws.revision_of(release.commit, model)).snapshot.models[model]
    one_of(f"part at {release.label}", str(entry.part), tree.parts)
    if known and known.is_started and (known.revision, known.commit) != (release.label, release.commit):
        _require_all_done(ws, snapshot, model, entry, known, release)
    return release


def _require_all_done(
    ws: Workspace, snapshot: Snapshot, model: str, entry: StepEntry, known: HullPart, release: Release
) -> None:
    """A built part is of a later release only once every change to it up to there was carried out on it."""
    fleet = effectivity_of(ws, snapshot)
    done = {*known.done, *entry.done}
    missing = [c for c in lacking_changes(fleet, snapshot, model, known, release.commit) if c not in done]
    if missing or contains(ws, known.commit, release.commit):
        raise Refused(
            f"{entry.part} of hull {entry.hull} was started to {known.revision} and is {known.state}",
            "it keeps that; a change carried out on it is recorded with --done",
            tuple(f"{change} is not carried out on it" for change in missing),
        )


def _require_way(
    snapshot: Snapshot, entry: StepEntry, before: HullPart | None, release: Release | None
) -> None:
    if before is None:
        return
    if entry.from_hull is None:
        doubts = _back(entry, f"{entry.part} of hull {entry.hull}", before.state)
        require_meant(doubts, entry.meant, entry.note)
    if (entry.note or "").strip():
        return
    unsettled = [d for d in snapshot.hull_state(entry.hull).disagreements if d.part == entry.part]
    if unsettled:
        steps = " and ".join(unsettled[0].steps)
        raise Refused(
            f"two steps of {entry.part} of hull {entry.hull} disagree: {steps}",
            "say which is right: --note N",
        )
    unchanged = before.state == entry.state and not entry.done and release is None
    if unchanged and entry.from_hull is None and before.state not in OPEN:
        raise Refused(f"{entry.part} of hull {entry.hull} is {before.state} already")


def _back(entry: StepEntry, subject: str, before: str) -> Iterator[str]:
    if goes_back(before, entry.state):
        yield from step_doubts(subject, before, entry.state)


def _held(snapshot: Snapshot, model: str, part: str) -> Iterator[str]:
    for zone, held in sorted(holds_by_zone(snapshot, model).items()):
        if part_of(zone) == part:
            yield f"{zone} is on hold: {', '.join(hold.record for hold in held)}"


def move_hull(ws: Workspace, entry: StepEntry, dry_run: bool = False) -> Done:
    """Say how far the whole hull is."""
    snapshot = ws.current()
    hull_named(snapshot, entry.hull)
    state = snapshot.hull_state(entry.hull)
    doubts = [*_back(entry, f"hull {entry.hull}", state.state), *delivery_doubts(state, entry.state)]
    require_meant(doubts, entry.meant, entry.note)
    if state.state == entry.state and state.step is not None and not (entry.note or "").strip():
        raise Refused(f"hull {entry.hull} is {state.state} already")
    new = _step(ws, snapshot, entry, after=state.step)
    return _put(ws, new.id, (new,), f"Hull {entry.hull}: {entry.state}", dry_run=dry_run)


def _put(
    ws: Workspace, told: str, steps: Sequence[NewRecord], subject: str, warned: Iterator[str] | None = None,
    *, files: dict[str, bytes] | None = None, dry_run: bool = False,
) -> Done:  # fmt: skip
    texts = {**(files or {}), **{step.path: step.text for step in steps}}
    commit = None
    if not dry_run:
        commit = commit_record(
            ws.repo, ws.main_branch, texts, compose(subject), base=ws.tip(),
            moved=lambda tip: _require_not_moved(ws, steps, tip),
        )  # fmt: skip
    return Done(told, commit, (subject, *(warned or ()), *noted(ws)), texts, dry_run=dry_run)


def _require_not_moved(ws: Workspace, steps: Sequence[NewRecord], tip: str) -> None:
    """Refuse a step where main has gone on since to another one of the same part: none was seen to follow."""
    numbers = ws.current().records
    own = {line for new in steps for line in _lines(numbers, new.record)}
    added = [edit.path for edit in differing(ws.repo, ws.tip(), tip) if edit.new is not None]
    names = [name for path in added if (name := record_at(path)) is not None]
    for name, record in ws.records_named(tip, names).items():
        if isinstance(record, Step) and own & set(_lines(numbers, record)):
            raise Refused(
                f"hull {record.hull} has changed meanwhile on main, so nothing was written",
                "look at it and try again", (name,),
            )  # fmt: skip


def _lines(numbers: Records, record: Record) -> Iterator[tuple[str, str | None]]:
    """The lines of steps that a step belongs to: that of its hull, and of the one the part comes from."""
    if isinstance(record, Step):
        yield numbers.number_of(record.hull), record.part
        if record.from_hull is not None:
            yield numbers.number_of(record.from_hull), record.part


def weigh(ws: Workspace, entry: WeighingEntry, dry_run: bool = False) -> Done:
    """Put a part, or the craft, on the scales."""
    snapshot = ws.current()
    hull_named(snapshot, entry.hull)
    parts = [part.part for part in snapshot.hull_parts(entry.hull)]
    one_of(f"part of hull {entry.hull}", entry.part, ["craft", *parts])
    new = new_record(
        ws, snapshot, "weighing", entry.on, hull=entry.hull, part=entry.part, mass_kg=entry.mass_kg,
        state=entry.state, tare_kg=entry.tare_kg, uncertainty_kg=entry.uncertainty_kg,
        includes=entry.includes, note=entry.note,
    )  # fmt: skip
    with_records(snapshot, new)
    assert isinstance(new.record, Weighing)
    require_meant(weighing_doubts(ws, snapshot, new.record), entry.meant, entry.note)
    subject = f"Weigh {entry.part} of hull {entry.hull}: {entry.mass_kg:g} kg {entry.state}"
    return put_records(ws, new, subject=subject, dry_run=dry_run)
