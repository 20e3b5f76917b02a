"""Recipe commits: each brought by an approved change with its reason, broken minima re-verified."""

from collections.abc import Iterator

from recipe_track.history.log import Commit
from recipe_track.history.revisions import touches
from recipe_track.recipe.paths import kind_of_path
from recipe_track.recipe.records import Change
from recipe_track.review.audit.scope import Finding, Scope
from recipe_track.review.change.reverification import step_concerns
from recipe_track.review.past.changes_on_main import change_ids, edited_paths, is_recipe_commit, sources


def _recipe_commits(scope: Scope) -> Iterator[Commit]:
    for commit in reversed(scope.commits):
        if is_recipe_commit(commit) and any(touches(commit, model) for model in scope.models):
            yield from sources(scope.ws.repo, commit)


def _said(scope: Scope, commit: Commit) -> str:
    labels = (scope.ws.labels(model).of(commit.id) for model in scope.models)
    label = next(filter(None, labels), None)
    subject = commit.message.split("\n", 1)[0]
    return f"{commit.id[:10]}{f' ({label})' if label else ''}, {commit.date[:10]}: {subject}"


def check_changes(scope: Scope) -> Iterator[Finding]:
    """A commit that touches the recipe names a change with a record; a model's first issue needs a reason."""
    for commit in _recipe_commits(scope):
        named = change_ids(commit)
        if _is_first_issue(commit):
            if not named and not _reason(scope, commit) and not scope.ws.repo.shallow:
                yield Finding(
                    "commit-without-reason", _said(scope, commit),
                    "the first issue of a model gives no reason",
                    "say it in the next commit message, and from now on with a `Reason:` trailer",
                )  # fmt: skip
            continue
        if not named:
            yield _without_change(scope, commit)
        for change in named:
            if not isinstance(scope.snapshot.records.get(change), Change):
                yield Finding(
                    "commit-without-change", _said(scope, commit),
                    f"the recipe was changed by {change}, of which there is no record",
                    f"find the record of {change}, or propose a change that explains the edit",
                )  # fmt: skip


def _without_change(scope: Scope, commit: Commit) -> Finding:
    paths = ", ".join(sorted(edited_paths(commit.changes)))
    if _reason(scope, commit):
        message = f"the recipe was changed without a change record ({paths})"
    else:
        message = f"the recipe was changed without a change record and without a reason ({paths})"
    remedy = "have it proposed and decided after the fact (`change propose` with the reason), or take it back"
    return Finding("commit-without-change", _said(scope, commit), message, remedy)


def _reason(scope: Scope, commit: Commit) -> str:
    recorded = (scope.snapshot.records.get(i) for i in change_ids(commit))
    said = [record.reason for record in recorded if isinstance(record, Change)]
    return next(iter((*said, *commit.trailer("Reason"))), "").strip()


def check_reasons(scope: Scope) -> Iterator[Finding]:
    """A commit that names a change says why, in the record or in its trailer."""
    for commit in _recipe_commits(scope):
        if change_ids(commit) and not _reason(scope, commit):
            yield Finding(
                "commit-without-reason", _said(scope, commit),
                "neither a change record nor a `Reason:` trailer says why",
                "write down the reason in a change record while someone still knows it",
            )  # fmt: skip


def _is_first_issue(commit: Commit) -> bool:
    """Whether a commit brings a model that was not there before."""
    return any(change.status == "A" and kind_of_path(change.path) == "model" for change in commit.changes)


def check_approved(scope: Scope) -> Iterator[Finding]:
    """A change whose edit is on main was approved."""
    for change_id, landed in scope.landed.items():
        change = scope.snapshot.records.get(change_id)
        if not isinstance(change, Change) or change.model not in scope.models:
            continue
        decision = scope.snapshot.records.last_decision(change_id)
        if decision != "approved":
            yield Finding(
                "change-not-approved", change_id,
                f"its edit is on main ({_said(scope, landed.commit)}), but the change is"
                f" {decision or 'not decided'}",
                "have it decided by someone entitled, or take the edit back",
            )  # fmt: skip


def check_minima(scope: Scope) -> Iterator[Finding]:
    """A required minimum broken or re-based was re-verified."""
    for model in scope.models:
        tip = scope.commits[0].id
        for step in step_concerns(scope.ws, scope.snapshot, model, tip):
            for concern in () if step.reverified else step.concerns:
                rule = "minimum-broken" if concern.kind == "broken" else "minimum-rebased"
                brought = f"{_said(scope, step.commit)} ({', '.join(step.changes) or 'no change record'})"
                yield Finding(
                    rule, concern.zone,
                    f"{concern.text}, since {brought}, without a re-verification",
                    "have the scantlings checked by who stands for them; approve with --reverified",
                )  # fmt: skip


RULES = (check_changes, check_reasons, check_approved, check_minima)
