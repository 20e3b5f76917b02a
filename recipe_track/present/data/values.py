"""What every JSON answer is made of: frozen records as plain values, and a revision."""

from dataclasses import fields, is_dataclass
from typing import Any

from recipe_track.workspace import Revision


def plain_data(value: Any) -> Any:
    """Frozen records as dictionaries and lists, ready for JSON."""
    if is_dataclass(value) and not isinstance(value, type):
        return {f.name: plain_data(getattr(value, f.name)) for f in fields(value)}
    if isinstance(value, dict):
        return {key: plain_data(v) for key, v in value.items()}
    if isinstance(value, list | tuple):
        return [plain_data(v) for v in value]
    return value


def revision_json(revision: Revision) -> dict[str, Any]:
    """Label, commit and date of a revision."""
    return {"label": revision.label, "commit": revision.commit, "date": revision.date}
