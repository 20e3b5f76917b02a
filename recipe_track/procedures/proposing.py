"""Proposing a change: what differs in the work tree, checked, with its reason and its expected effect."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from recipe_track.errors import CallError, InvalidRecipe, Key, Problem, Refused
from recipe_track.history.making import write_tree
from recipe_track.history.people import compose
from recipe_track.history.proposals import WorkChange, already_proposed, propose, work_changes
from recipe_track.procedures.writing import Done, NewRecord, new_record, with_records
from recipe_track.recipe.craft import Approval
from recipe_track.recipe.paths import model_at
from recipe_track.recipe.records import Trial
from recipe_track.recipe.snapshot import Snapshot
from recipe_track.review.change.expected import expected_of
from recipe_track.review.change.minima import Concern, concern_words, concerns
from recipe_track.review.change.register import open_branches, read_tree
from recipe_track.review.choosing import one_of, record_named
from recipe_track.workspace import Workspace
from recipe_track.workspace.assembly import Reading


@dataclass(frozen=True, slots=True)
class ChangeEntry:
    """What a person says of a change."""

    title: str
    reason: str
    category: str
    on: date
    trials: tuple[str, ...] = ()
    model: str | None = None
    considered: str | None = None
    note: str | None = None


@dataclass(frozen=True, slots=True)
class Prepared:
    """A proposal ready to be written: its files, its record, what it does to the required minima."""

    record: NewRecord
    files: tuple[WorkChange, ...]
    model: str
    concerns: tuple[Concern, ...]
    skipped: tuple[tuple[str, str], ...]

    @property
    def message(self) -> str:
        """The commit message, with the trailers for those who read plain `git log`."""
        change = self.record.record
        title, reason = getattr(change, "title", ""), getattr(change, "reason", "")
        return compose(f"Propose {self.record.id}: {title}", "", change_trailers(self.record.id, reason))


def change_trailers(change_id: str, reason: str) -> tuple[tuple[str, str], ...]:
    """The trailers that every recipe commit carries."""
    return ("Change", change_id), ("Reason", reason)


def propose_change(ws: Workspace, entry: ChangeEntry, dry_run: bool = False) -> Done:
    """Put the recipe edits of the work tree on a branch change/<id> with the record that says why."""
    return write_proposal(ws, prepare(ws, entry), dry_run)


def write_proposal(ws: Workspace, prepared: Prepared, dry_run: bool = False) -> Done:
    """Start the branch of a prepared proposal."""
    record, commit = prepared.record, None
    if not dry_run:
        texts = {record.path: record.text}
        made = propose(ws.repo, ws.main_branch, record.id, prepared.files, texts, prepared.message)
        commit = made.commit
    return Done(record.id, commit, proposal_words(prepared), _shown(prepared), dry_run=dry_run)


def _shown(prepared: Prepared) -> dict[str, bytes]:
    return {prepared.record.path: prepared.record.text} | {c.path: c.data or b"" for c in prepared.files}


def proposal_words(prepared: Prepared) -> tuple[str, ...]:
    """What was proposed, what was left out, and what an approval will need."""
    said = [f"proposed {prepared.record.id} on branch change/{prepared.record.id}:"]
    said += [f"  {change.status} {change.path}" for change in prepared.files]
    said += [f"  left out {path}: {other} proposes just this" for path, other in prepared.skipped]
    if prepared.concerns:
        said.append("approving it needs --reverified DOCUMENT --body B:")
        said += concern_words(prepared.concerns)
    return tuple(said)


def prepare(ws: Workspace, entry: ChangeEntry) -> Prepared:
    """Everything that can be refused about a proposal, before anything is written."""
    snapshot = ws.current()
    _require_said(snapshot.settings.approval, entry)
    for trial in entry.trials:
        record_named(snapshot, trial, Trial, "observation")
    changes, skipped = _edits(ws, snapshot)
    tree = write_tree(ws.repo, ws.tip(), {change.path: change.entry for change in changes})
    after = _valid(ws, tree, {change.path for change in changes})
    model = _model_of(ws, entry.model, changes, after)
    expected = expected_of(snapshot, after, model).model_dump(exclude_none=True, exclude_unset=True)
    record = new_record(
        ws, snapshot, "change", entry.on, model=model, title=entry.title.strip(), reason=entry.reason.strip(),
        trials=tuple(trial.upper() for trial in entry.trials), category=entry.category,
        considered=entry.considered, note=entry.note, expected=expected,
    )  # fmt: skip
    with_records(after, record)
    return Prepared(record, changes, model, concerns(snapshot, after, model), skipped)


def _require_said(approval: Approval, entry: ChangeEntry) -> None:
    reason = entry.reason.strip()
    if not reason:
        raise Refused("a change needs a reason", "say why: --reason R")
    if len(reason) < approval.reason_min_length:
        least = approval.reason_min_length
        raise Refused(
            f"the reason is too short: {len(reason)} characters of at least {least}",
            "say it so that someone understands it in five years",
        )
    if not entry.title.strip():
        raise Refused("a change needs a title", "--title T")


def _edits(ws: Workspace, snapshot: Snapshot) -> tuple[tuple[WorkChange, ...], tuple[tuple[str, str], ...]]:
    """The edits to take, and those that an open proposal holds already."""
    edited = work_changes(ws.repo, ws.main_branch)
    proposed = already_proposed(ws.repo, ws.main_branch, edited, open_branches(ws, snapshot))
    changes = tuple(change for change in edited if change.path not in proposed)
    skipped = tuple(sorted(proposed.items()))
    if not changes:
        raise Refused(
            "there is nothing to propose: models, materials and prices are as they are on main",
            "edit the recipe first",
            tuple(f"{path}: {other} proposes just this" for path, other in skipped),
        )
    behind = tuple(change.path for change in changes if change.behind)
    if behind:
        raise Refused(
            f"{ws.main_branch} has gone on with these files since your branch left it",
            f"bring your branch up to date first: git merge {ws.main_branch}",
            behind,
        )
    return changes, skipped


def _valid(ws: Workspace, tree: str, paths: set[str]) -> Snapshot:
    """The snapshot of a tree; InvalidRecipe with what is wrong in these paths or was not wrong on main."""
    reading = read_tree(ws, tree)
    require_no_worse(ws, reading, paths, "the proposal is not valid, so nothing was written")
    return reading.snapshot


def require_no_worse(ws: Workspace, reading: Reading, paths: set[str], message: str) -> None:
    """Refuse problems in the paths touched, and any that main does not have already."""
    known = {_fault(p) for p in ws.read(ws.revision_of(ws.tip(), None), with_records=True).problems}
    problems = tuple(p for p in reading.problems if p.file in paths or _fault(p) not in known)
    if problems:
        raise InvalidRecipe(message, problems)


def _fault(problem: Problem) -> tuple[str, str, Key, str]:
    """What is wrong, wherever its line has moved to and however it is worded."""
    return problem.file, problem.code, problem.key, problem.name


def _model_of(ws: Workspace, wanted: str | None, changes: Sequence[WorkChange], after: Snapshot) -> str:
    """The model a change is about: the one named, the one whose files it edits, or the only one there is."""
    touched = {model for change in changes if (model := model_at(change.path)) is not None}
    if wanted is not None:
        return one_of("model", wanted, {*after.models, *touched})
    if len(touched) > 1:
        raise CallError(
            "these edits touch several models", f"propose one at a time, or say --model {sorted(touched)[0]}"
        )
    return touched.pop() if touched else ws.model_of(None, after)
