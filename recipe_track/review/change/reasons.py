"""Why the recipe changed between two revisions: out of the records, commit trailers only as a fallback."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from recipe_track.history.log import Commit, walk
from recipe_track.history.refs import head_commit
from recipe_track.history.revisions import touches
from recipe_track.recipe.paths import record_at
from recipe_track.recipe.records import Change, Decision, Trial
from recipe_track.workspace import Revision, Workspace


@dataclass(frozen=True, slots=True)
class AnsweredTrial:
    """An observation that a change answers."""

    trial: str
    hull: str
    zone: str
    observation: str
    severity: int
    on: str
    text: str


@dataclass(frozen=True, slots=True)
class Reason:
    """One change between two revisions; `change` None where only a commit speaks, `undone` going back."""

    change: str | None
    title: str
    reason: str
    category: str | None
    trials: tuple[str, ...]
    proposed_by: str | None
    approved_by: str | None
    commit: str | None
    date: str | None
    observations: tuple[AnsweredTrial, ...] = ()
    undone: bool = False


def reasons_between(ws: Workspace, before: Revision, after: Revision, model: str) -> tuple[Reason, ...]:
    """Every change of a model that one revision has and the other has not, newest first."""
    old, new = _base(ws, before), _base(ws, after)
    if old is None or new is None or old == new:
        return ()
    done = _reasons(ws, old, new, model, undone=False)
    undone = _reasons(ws, new, old, model, undone=True)
    return tuple(sorted([*done, *undone], key=lambda r: (r.date or "", r.change or ""), reverse=True))


def _base(ws: Workspace, revision: Revision) -> str | None:
    """The commit whose records hold for a revision; working files stand on HEAD."""
    if revision.commit is not None:
        return revision.commit
    return head_commit(ws.repo)


def _reasons(ws: Workspace, old: str, new: str, model: str, undone: bool) -> list[Reason]:
    commits = _between(ws, old, new)
    records = ws.records_added(old, new)
    approvals = {
        r.about: (i, r) for i, r in records.items() if isinstance(r, Decision) and r.decision == "approved"
    }
    rejected = {r.about for r in records.values() if isinstance(r, Decision) and r.decision == "rejected"}
    proposed = {i for i, r in records.items() if isinstance(r, Change)}
    changes = ws.records_named(new, (approvals.keys() | proposed) - rejected)
    added_by = _added_by(commits)
    reasons, covered = [], set()
    for name, change in changes.items():
        approval = approvals.get(name)
        commit = added_by.get(approval[0]) if approval else added_by.get(name)
        if isinstance(change, Change) and _concerns(change, commit, model):
            covered.add(commit.id if commit else None)
            trials = ws.records_named(new, change.trials)
            reasons.append(_of_change(name, change, approval, commit, trials, undone))
    rest = [c for c in commits if touches(c, model) and c.id not in covered]
    named = {reason.change for reason in reasons}
    return reasons + [_of_commit(c, undone) for c in rest if not named.intersection(c.trailer("Change"))]


def _between(ws: Workspace, old: str, new: str) -> tuple[Commit, ...]:
    """First-parent commits that lead from one commit to another."""
    places = {commit.id: n for n, commit in enumerate(ws.commits)}
    if old in places and new in places:
        return ws.commits[places[new] : places[old]]
    return walk(ws.repo, new, since=(old,))


def _added_by(commits: Iterable[Commit]) -> dict[str, Commit]:
    """The commit that brought each record."""
    return {
        record_id: commit
        for commit in commits
        for change in commit.changes
        if change.status != "D" and (record_id := record_at(change.path)) is not None
    }


def _concerns(change: Change, commit: Commit | None, model: str) -> bool:
    return change.model == model or (commit is not None and touches(commit, model))


def _of_change(
    name: str,
    change: Change,
    approval: tuple[str, Decision] | None,
    commit: Commit | None,
    trials: Mapping[str, Any],
    undone: bool,
) -> Reason:
    return Reason(
        change=name,
        title=change.title,
        reason=change.reason,
        category=change.category,
        trials=change.trials,
        proposed_by=change.by,
        approved_by=approval[1].by if approval else None,
        commit=commit.id if commit else None,
        date=commit.date if commit else None,
        observations=tuple(_answered(trials)),
        undone=undone,
    )


def _answered(trials: Mapping[str, Any]) -> Iterator[AnsweredTrial]:
    for name, trial in trials.items():
        if isinstance(trial, Trial):
            yield AnsweredTrial(
                name,
                trial.hull,
                trial.zone,
                trial.observation,
                trial.severity,
                trial.on.isoformat(),
                trial.text,
            )


def _of_commit(commit: Commit, undone: bool) -> Reason:
    subject = commit.message.split("\n", 1)[0]
    reason = next(iter(commit.trailer("Reason")), subject)
    change = next(iter(commit.trailer("Change")), None)
    return Reason(
        change, subject, reason, None, (), f"{commit.author} <{commit.author_mail}>", None,
        commit.id, commit.date, (), undone,
    )  # fmt: skip
