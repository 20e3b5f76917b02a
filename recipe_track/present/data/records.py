"""Records and findings as JSON."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from recipe_track.present.data.values import plain_data, revision_json

if TYPE_CHECKING:
    from recipe_track.recipe.records import Record
    from recipe_track.review.audit import Audit, Finding
    from recipe_track.review.change.register import ChangeRow, ChangeShown
    from recipe_track.review.hull.overview import TrialRow

FINDING_KEYS = ("id", "rule", "subject", "file", "commit", "by", "since", "message", "remedy")


def audit_json(audit: Audit) -> dict[str, Any]:
    """The body of `audit --json`."""
    return {
        "models": list(audit.models),
        "revision": revision_json(audit.revision),
        "findings": [finding_json(finding) for finding in audit.findings],
        "answered": [{**finding_json(one.finding), "answered_by": one.action} for one in audit.answered],
        "notices": plain_data(audit.notices),
        "complete": audit.complete,
    }


def finding_json(finding: Finding) -> dict[str, Any]:
    """A finding: what, where, who, since when, what ends it."""
    return {key: getattr(finding, key) for key in FINDING_KEYS}


def changes_json(rows: Sequence[ChangeRow]) -> dict[str, Any]:
    """The body of `change list --json`."""
    return {"changes": [row_json(row) for row in rows]}


def row_json(row: ChangeRow) -> dict[str, Any]:
    """A change with its state."""
    return {
        **record_json(row.id, row.change),
        "state": row.state,
        "branch": row.branch,
        "commit": row.landed.last.id if row.landed else None,
        "release": row.release,
        "decisions": [record_json(i, decision) for i, decision in row.decisions],
        "verifications": [record_json(i, verification) for i, verification in row.verifications],
    }


def change_json(shown: ChangeShown) -> dict[str, Any]:
    """The body of `change show --json`."""
    return {
        **row_json(shown.row),
        "now": shown.now.model_dump(mode="json", exclude_none=True) if shown.now else None,
        "differences": list(shown.difference),
        "minima": plain_data(shown.concerns),
        "hulls": list(shown.hulls),
        "hulls_planned": list(shown.hulls_planned),
        "proof": shown.proof,
        "trouble": shown.trouble,
    }


def record_json(record_id: str, record: Record) -> dict[str, Any]:
    """A record with its id; every key present, null where nothing is written."""
    written: dict[str, Any] = record.model_dump(mode="json")
    return {"id": record_id, **written}


def trials_json(rows: Sequence[TrialRow]) -> dict[str, Any]:
    """The body of `trial list --json`."""
    return {"trials": [trial_json(row) for row in rows]}


def trial_json(row: TrialRow) -> dict[str, Any]:
    """One observation with what became of it."""
    return {
        **record_json(row.id, row.trial),
        "state": row.state,
        "zone_now": row.zone_now,
        "seen": row.seen,
        "hold": row.held,
        "answers": list(row.answers),
        "decisions": [record_json(i, decision) for i, decision in row.decisions],
        "former_copy": row.former.copy if row.former else None,
    }
