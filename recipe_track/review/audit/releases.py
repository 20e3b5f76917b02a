"""Releases on main, valid, not made over a hold; records written once and kept."""

from collections.abc import Iterator
from dataclasses import dataclass

from recipe_track.history.log import Commit
from recipe_track.history.objects import tree
from recipe_track.recipe.paths import record_at
from recipe_track.recipe.states import holds_by_zone
from recipe_track.review.audit.scope import Finding, Scope


@dataclass(frozen=True, slots=True)
class _Written:
    """A record as it was first written, and the last commit that changed it."""

    path: str
    oid: str
    last: Commit


def check_kept(scope: Scope) -> Iterator[Finding]:
    """No record differs from what was first written, and none is gone."""
    files = tree(scope.ws.repo, scope.commits[0].id, ("records",))
    now = {record_at(path): oid for path, oid in files.items()}
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
    first: dict[str, _Written] = {}
    for commit in reversed(scope.commits):
        for change in commit.changes:
            record_id = record_at(change.path)
            if record_id is None:
                continue
            first_id = record_at(change.old_path or change.path) or record_id
            known = first.get(first_id)
            if known is None and change.oid is not None:
                first[record_id] = _Written(change.path, change.oid, commit)
            elif known is not None:
                first[first_id] = _Written(known.path, known.oid, commit)
    return first


KEEPING_RULES = (check_kept,)


def check_moved(scope: Scope) -> Iterator[Finding]:
    """A tag stands where it stood when a hull was started to it."""
    tags = {(model, release.label): release.commit for model, release in scope.releases()}
    for number, hull in sorted(scope.snapshot.hulls.items()):
        for part in hull.part if hull.model in scope.models else ():
            now = tags.get((hull.model, part.revision))
            if now is not None and now != part.commit:
                yield Finding(
                    "release-moved", f"{hull.model}/{part.revision}",
                    f"the tag stands at {now[:10]}, but {part.part} of hull {number} was started to it at"
                    f" {part.commit[:10]}",
                    f"put the tag back (`git tag -f` at {part.commit[:10]}) or release the new content anew",
                )  # fmt: skip


def check_on_main(scope: Scope) -> Iterator[Finding]:
    """Every release is contained in main."""
    for model, release in scope.releases():
        if not release.on_main:
            yield Finding(
                "release-off-main", f"{model}/{release.label}",
                f"the released commit {release.commit[:10]} is not on {scope.ws.main_branch}",
                "merge it, or release what is on main under the next number",
            )  # fmt: skip


def check_valid(scope: Scope) -> Iterator[Finding]:
    """The files of a released revision are valid."""
    for model, release in scope.releases():
        problems = scope.ws.read(scope.ws.revision_of(release.commit, model), with_records=True).problems
        for problem in problems:
            place = f"{problem.file}:{problem.line}" if problem.line else problem.file
            yield Finding(
                "invalid-at-release", f"{model}/{release.label}", f"{place}: {problem.message}",
                "put it right on main and release again; say what hulls built to it have",
            )  # fmt: skip


def check_released_on_hold(scope: Scope) -> Iterator[Finding]:
    """No release was made while one of its zones was on hold."""
    for model, release in scope.releases():
        then = scope.ws.read(scope.ws.revision_of(release.commit, model), with_records=True).snapshot
        for zone, held in sorted(holds_by_zone(then, model).items()):
            for hold in held:
                yield Finding(
                    "hold-ignored", f"{model}/{release.label}",
                    f"it was released while {zone} was on hold ({hold.record}: {hold.reason})",
                    f"decide on {hold.record}, and release again if the recipe has to change",
                )  # fmt: skip


RULES = (check_moved, check_on_main, check_valid, check_released_on_hold)
