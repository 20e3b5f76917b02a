"""Hulls: started to a release, part by part, and weighed."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from recipe_track.errors import CallError, Refused
from recipe_track.history.commits import commit_record
from recipe_track.history.objects import read_files
from recipe_track.history.people import compose, identity
from recipe_track.history.refs import Release
from recipe_track.procedures.writing import Done, new_record, put_records, with_records
from recipe_track.recipe.craft import Hull, HullPart
from recipe_track.recipe.paths import hull_path, part_of
from recipe_track.recipe.records import Decision
from recipe_track.recipe.snapshot import Snapshot
from recipe_track.recipe.states import holds_by_zone
from recipe_track.review.choosing import hull_named, one_of, release_named, require_hull_number
from recipe_track.review.hull.effectivity import STARTED
from recipe_track.textfiles.meaning.read import read_file
from recipe_track.textfiles.writing.edit import set_row, set_value
from recipe_track.textfiles.writing.render import to_toml
from recipe_track.workspace import Workspace

CHANGING_ACTIONS = ("rework", "retrofit", "recall")


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


def add_hull(
    ws: Workspace, number: str, model: str, revision: str, status: str, on: date, dry_run: bool = False
) -> Done:
    """Start a hull: every part of the model at the release is planned to it."""
    snapshot = ws.current()
    require_hull_number(number)
    known = next((n for n in snapshot.hulls if n.casefold() == number.casefold()), None)
    if known is not None:  # not every machine tells a1.toml from A1.toml
        raise Refused(f"hull {known} is there already", "`hull part` moves its parts on")
    one_of("model", model, snapshot.models)
    release = release_named(ws, model, revision)
    tree = ws.read(ws.revision_of(release.commit, model)).snapshot.models[model]
    parts = [_row(part, release, "planned", on) for part in sorted(tree.parts)]
    text = to_toml({"model": model, "status": status, "part": parts})
    return _put_hull(ws, number, text, f"Plan hull {number} to {release.label} of {model}", dry_run=dry_run)


def _row(part: str, release: Release, state: str, on: date) -> dict[str, object]:
    return {"part": part, "revision": release.label, "commit": release.commit, "state": state, "on": on}


def set_part(
    ws: Workspace, number: str, part: str, revision: str | None, state: str, on: date, dry_run: bool = False
) -> Done:
    """Move a part of a hull on, or start it; a part that is started keeps the release it was started to."""
    snapshot = ws.current()
    hull = hull_named(snapshot, number)
    known = hull.part_named(part)
    release = _release_for(ws, snapshot, number, hull, part, known, revision)
    if known and known.state in STARTED and state not in STARTED and not _may_change(snapshot, number, part):
        raise Refused(
            f"{part} of hull {number} is {known.state}, and what was started cannot be {state} again",
            f"correct a slip in {hull_path(number)} itself; a decision with a hull action allows it, too",
        )
    row: dict[str, object] = {"state": state, "on": on}
    if release is not None:
        row = {"revision": release.label, "commit": release.commit, **row}
    text = set_row(_hull_text(ws, number), "part", {"part": part}, row)
    if hull.status == "planned" and state != "planned":
        text = set_value(text, ("status",), "in-build")
    label = release.label if release else known.revision if known else ""
    subject = f"Hull {number}: {part} {state}, {label}"
    return _put_hull(ws, number, text, subject, _held(snapshot, hull, part), dry_run)


def _release_for(
    ws: Workspace, snapshot: Snapshot, number: str, hull: Hull, part: str, known: HullPart | None,
    revision: str | None,
) -> Release | None:  # fmt: skip
    """The release a part is to be built to; None leaves it as it is."""
    if revision is None:
        if known is None:
            raise CallError(
                f"hull {number} has no part `{part}` yet", "say what it is built to: --revision r7"
            )
        return None
    release = release_named(ws, hull.model, revision)
    tree = ws.read(ws.revision_of(release.commit, hull.model)).snapshot.models[hull.model]
    one_of(f"part at {release.label}", part, tree.parts)
    changes = known is not None and (known.revision, known.commit) != (release.label, release.commit)
    if known and changes and known.state in STARTED and not _may_change(snapshot, number, part):
        raise Refused(
            f"{part} of hull {number} was started to {known.revision} and is {known.state}",
            "it keeps that unless a decision holds a hull action (rework, retrofit, recall) for it",
        )
    return release


def _may_change(snapshot: Snapshot, number: str, part: str) -> bool:
    return any(
        action.hull == number and action.part == part and action.action in CHANGING_ACTIONS
        for _, decision in snapshot.records.of_kind(Decision)
        for action in decision.hull_action
    )


def _held(snapshot: Snapshot, hull: Hull, part: str) -> Iterator[str]:
    for zone, held in sorted(holds_by_zone(snapshot, hull.model).items()):
        if part_of(zone) == part:
            yield f"{zone} is on hold: {', '.join(hold.record for hold in held)}"


def set_status(ws: Workspace, number: str, status: str, dry_run: bool = False) -> Done:
    """Say how far the whole hull is."""
    hull_named(ws.current(), number)
    text = set_value(_hull_text(ws, number), ("status",), status)
    return _put_hull(ws, number, text, f"Hull {number}: {status}", dry_run=dry_run)


def _hull_text(ws: Workspace, number: str) -> str:
    path = hull_path(number)
    return read_files(ws.repo, ws.tip(), path)[path].decode()


def _put_hull(
    ws: Workspace, number: str, text: str, subject: str, warned: Iterator[str] | None = None,
    dry_run: bool = False,
) -> Done:  # fmt: skip
    path, content = hull_path(number), text.encode()
    hull, problems = read_file(path, content)
    assert hull is not None, problems
    identity(ws.repo)
    commit = None
    if not dry_run:  # what another process wrote into the file meanwhile must not be lost
        commit = commit_record(ws.repo, ws.main_branch, {path: content}, compose(subject), base=ws.tip())
    return Done(number, commit, (subject, *(warned or ())), {path: content}, dry_run=dry_run)


def weigh(ws: Workspace, entry: WeighingEntry, dry_run: bool = False) -> Done:
    """Put a part, or the craft, on the scales."""
    snapshot = ws.current()
    hull = hull_named(snapshot, entry.hull)
    one_of(f"part of hull {entry.hull}", entry.part, ["craft", *(p.part for p in hull.part)])
    new = new_record(
        ws, snapshot, "weighing", entry.on, hull=entry.hull, part=entry.part, mass_kg=entry.mass_kg,
        state=entry.state, tare_kg=entry.tare_kg, uncertainty_kg=entry.uncertainty_kg,
        includes=entry.includes, note=entry.note,
    )  # fmt: skip
    with_records(snapshot, new)
    subject = f"Weigh {entry.part} of hull {entry.hull}: {entry.mass_kg:g} kg {entry.state}"
    return put_records(ws, new, subject=subject, dry_run=dry_run)
