"""Why the recipe changed between two revisions: out of the records, commit trailers only as a fallback."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from recipe_track.history.ancestry import Ancestor
from recipe_track.history.log import Commit, walk
from recipe_track.history.refs import head
from recipe_track.history.revisions import is_of
from recipe_track.recipe.ledger import Records
from recipe_track.recipe.paths import record_at
from recipe_track.recipe.records import Change, Trial
from recipe_track.review.past.changes_on_main import changes_on_main
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
    """One change between two revisions; `change` None where only a commit speaks, `undone` going back.

    `paths` are the files it edited; `outcome` is what the last verification found.
    """

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
    outcome: str | None = None
    paths: tuple[str, ...] = ()


def reasons_between(ws: Workspace, before: Revision, after: Revision, model: str) -> tuple[Reason, ...]:
    """Every change of a model that one revision has and the other has not, newest first."""
    old, new = _line(ws, before), _line(ws, after)
    if old is None or new is None or old.commit == new.commit:
        return ()
    done = _reasons(ws, old, new, model, undone=False)
    undone = _reasons(ws, new, old, model, undone=True)
    return tuple(sorted([*done, *undone], key=lambda r: (r.date or "", r.change or ""), reverse=True))


@dataclass(frozen=True, slots=True)
class _Line:
    """A commit with all of main that it contains, and its own commits that main has not."""

    commit: str
    behind: frozenset[str]
    own: tuple[Commit, ...]


def _line(ws: Workspace, revision: Revision) -> _Line | None:
    commit = _base(ws, revision)
    if commit is None or ws.refs.main is None:
        return None
    behind = ws.trail.behind(commit)
    if behind:
        return _Line(commit, behind, ())
    own = walk(ws.repo, commit, since=(ws.tip(),), first_parent=False)
    stood_on = {parent for one in own for parent in one.parents}
    return _Line(commit, frozenset().union(*map(ws.trail.behind, stood_on)), own)


def _base(ws: Workspace, revision: Revision) -> str | None:
    """The commit whose records hold for a revision; working files stand on HEAD."""
    return revision.commit or head(ws.repo)


def _reasons(ws: Workspace, old: _Line, new: _Line, model: str, undone: bool) -> Iterator[Reason]:
    records, on_main = ws.current().records, changes_on_main(ws)
    for name, landing in on_main.items():
        change = records.get(name)
        arrived = landing.copies & new.behind and not landing.copies & old.behind
        if arrived and isinstance(change, Change) and _concerns(change, landing.paths, model):
            yield _of_change(name, change, landing.last, landing.paths, records, undone)
    for finding in ws.trail.verdict.findings:
        first = finding.commits[0]
        is_new = first in new.behind and first not in old.behind and finding.change not in on_main
        if is_new and is_of(finding.edit.path, model):
            yield _of_commit(ws.trail.by_id[first], finding.edit.path, undone)
    yield from _proposed(ws, new, {commit.id for commit in old.own}, model, undone)


def _proposed(ws: Workspace, new: _Line, known: set[str], model: str, undone: bool) -> Iterator[Reason]:
    """Changes proposed on a branch that main does not hold yet."""
    for commit in new.own:
        added = [record_at(change.path) for change in commit.changes if change.status == "A"]
        ids = [name for name in added if name is not None and name not in ws.current().records]
        records = ws.records_named(commit.id, ids) if ids and commit.id not in known else {}
        paths = frozenset(path for change in commit.changes for path in change.paths)
        for name, change in records.items():
            if isinstance(change, Change) and _concerns(change, paths, model):
                joined = ws.current().records.joined(records)
                yield _of_change(name, change, commit, paths, joined, undone)


def _concerns(change: Change, paths: Iterable[str], model: str) -> bool:
    return change.model == model or any(is_of(path, model) for path in paths)


def _of_change(
    name: str,
    change: Change,
    commit: Commit | Ancestor,
    paths: Iterable[str],
    records: Records,
    undone: bool,
) -> Reason:
    approvals = [d.by for _, d in records.decisions_about(name) if d.decision == "approved"]
    verifications = records.verifications_of(name)
    return Reason(
        change=name,
        title=change.title,
        reason=change.reason,
        category=change.category,
        trials=change.trials,
        proposed_by=change.by,
        approved_by=approvals[-1] if approvals else None,
        commit=commit.id,
        date=commit.date,
        observations=tuple(_answered(records, change.trials)),
        undone=undone,
        outcome=verifications[-1][1].outcome if verifications else None,
        paths=tuple(sorted(paths)),
    )


def _answered(records: Records, trials: Iterable[str]) -> Iterator[AnsweredTrial]:
    for name in trials:
        trial = records.get(name)
        if isinstance(trial, Trial):
            yield AnsweredTrial(
                name, trial.hull, trial.zone, trial.observation, trial.severity, trial.on.isoformat(),
                trial.text,
            )  # fmt: skip


def _of_commit(commit: Ancestor, path: str, undone: bool) -> Reason:
    """What no decision covers speaks for itself; what its trailers claim proves nothing."""
    subject = commit.message.split("\n", 1)[0]
    reason = next(iter(commit.trailer("Reason")), subject)
    return Reason(
        None, subject, reason, None, (), f"{commit.author} <{commit.author_mail}>", None,
        commit.id, commit.date, (), undone, paths=(path,),
    )  # fmt: skip
