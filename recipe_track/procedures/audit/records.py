"""Records are written once: what main holds is what was first written."""

from collections.abc import Iterator
from dataclasses import dataclass

from recipe_track.history.blobs import tree
from recipe_track.history.log import Commit
from recipe_track.procedures.audit.scope import Finding, Scope


@dataclass(frozen=True, slots=True)
class _Written:
    """A record as it was first written, and the last commit that changed it."""

    path: str
    oid: str
    last: Commit


def check_kept(scope: Scope) -> Iterator[Finding]:
    """No record differs from what was first written, and none is gone."""
    now = {_id(path): oid for path, oid in tree(scope.ws.repo, scope.commits[0].id, ("records",)).items()}
    for record_id, written in sorted(_first_written(scope).items()):
        oid = now.get(record_id)
        if oid == written.oid:
            continue
        by = f"{written.last.author} in {written.last.id[:10]}, {written.last.date[:10]}"
        if oid is None:
            yield Finding(
                "record-deleted", record_id, f"it was deleted after it was written, by {by}",
                f"bring it back: git cat-file blob {written.oid[:10]} > {written.path}",
            )  # fmt: skip
        else:
            yield Finding(
                "record-altered", record_id, f"it was altered after it was written, by {by}",
                f"restore it (git cat-file blob {written.oid[:10]} > {written.path}), and correct it with"
                " a new record that replaces it",
            )  # fmt: skip


def _first_written(scope: Scope) -> dict[str, _Written]:
    found: dict[str, _Written] = {}
    for commit in reversed(scope.commits):
        for change in commit.changes:
            if not change.path.startswith("records/") or not change.path.endswith(".toml"):
                continue
            record_id = _id(change.old_path or change.path)
            known = found.get(record_id)
            if known is None and change.oid is not None:
                found[_id(change.path)] = _Written(change.path, change.oid, commit)
            elif known is not None:
                found[record_id] = _Written(known.path, known.oid, commit)
    return found


def _id(path: str) -> str:
    return path.rsplit("/", 1)[-1].removesuffix(".toml")


RULES = (check_kept,)
