"""Whether an approved change did on a hull what it was meant to do."""

from datetime import date

from recipe_track.errors import Refused
from recipe_track.procedures.doubts import require_meant, verification_doubts
from recipe_track.procedures.writing import Done, new_record, put_records, with_records
from recipe_track.recipe.paths import kind_of_path
from recipe_track.recipe.records import Change, Trial
from recipe_track.recipe.snapshot import Snapshot
from recipe_track.review.choosing import hull_named, record_named
from recipe_track.review.hull.effectivity import effectivity_of
from recipe_track.review.past.changes_on_main import changes_on_main
from recipe_track.workspace import Workspace


def verify_change(
    ws: Workspace, change_id: str, hull: str, outcome: str, on: date, *, trial: str | None = None,
    note: str | None = None, dry_run: bool = False, meant: bool = False,
) -> Done:  # fmt: skip
    """Say whether an approved change did what it was meant to do, on one hull."""
    snapshot = ws.current()
    change = record_named(snapshot, change_id, Change, "change on main")
    change_id = change_id.upper()
    if snapshot.records.last_decision(change_id) != "approved":
        raise Refused(f"{change_id} is not approved, so there is nothing to verify")
    hull_named(snapshot, hull)
    if trial is not None:
        record_named(snapshot, trial, Trial, "observation")
    new = new_record(
        ws, snapshot, "verification", on, about=change_id, hull=hull, outcome=outcome,
        trial=trial.upper() if trial else None, note=note,
    )  # fmt: skip
    with_records(snapshot, new)
    said = [f"verified {change_id} ({change.title}): {outcome} on hull {hull}"]
    if not _carries(ws, snapshot, change_id, change.model, hull):
        require_meant(verification_doubts(change_id, hull), meant, note)
        said.append(f"note: by its record, no part of hull {hull} is built to a release with {change_id}")
    subject = f"Verify {change_id}: {outcome} on hull {hull}"
    return put_records(ws, new, subject=subject, body=note or "", said=tuple(said), dry_run=dry_run)


def _carries(ws: Workspace, snapshot: Snapshot, change_id: str, model: str | None, hull: str) -> bool:
    """Whether a hull has a change; one that reaches no laminate, such as of prices, is everywhere."""
    landing = changes_on_main(ws).get(change_id)
    if landing is None:
        return False
    laminate = [path for path in landing.paths if kind_of_path(path) not in ("prices", "model")]
    return not laminate or model is None or hull in effectivity_of(ws, snapshot).hulls_with(landing, model)
