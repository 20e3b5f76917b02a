"""Decisions about changes: approved as one merge, or rejected with the record and without the edit."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from recipe_track.errors import CallError, Refused
from recipe_track.history.commits import commit_record
from recipe_track.history.log import walk
from recipe_track.history.merges import approve, merge_preview
from recipe_track.history.objects import RECIPE_EDITS, read_files
from recipe_track.history.people import compose, identity
from recipe_track.history.refs import ChangeBranch
from recipe_track.procedures.proposing import (
    ChangeEntry,
    change_trailers,
    prepare,
    require_no_worse,
    write_proposal,
)
from recipe_track.procedures.writing import Done, NewRecord, new_record, signs_decisions
from recipe_track.recipe.records import Change, HullAction
from recipe_track.recipe.snapshot import Snapshot
from recipe_track.review.authority import proof_said, require_decider, require_entitled, same_person
from recipe_track.review.change.minima import Concern, concern_words, concerns
from recipe_track.review.change.register import OpenProposal, proposal_named, read_tree
from recipe_track.review.choosing import hull_named, one_of
from recipe_track.workspace import Workspace


@dataclass(frozen=True, slots=True)
class Reverified:
    """The document that shows that broken or re-based minima are in order, and who checked it."""

    document: str
    body: str


@dataclass(frozen=True, slots=True)
class DecisionEntry:
    """What a person says when approving."""

    on: date
    note: str | None = None
    reverified: Reverified | None = None
    hull_actions: tuple[HullAction, ...] = ()


def approve_change(ws: Workspace, change_id: str, entry: DecisionEntry, dry_run: bool = False) -> Done:
    """Merge a proposal into main with the decision that approves it."""
    snapshot = ws.current()
    return approve_proposal(ws, snapshot, proposal_named(ws, snapshot, change_id), entry, dry_run)


def approve_proposal(
    ws: Workspace, snapshot: Snapshot, proposal: OpenProposal, entry: DecisionEntry, dry_run: bool = False
) -> Done:
    """Merge it, once everything that could be refused has been looked at."""
    _require_approver(ws, snapshot, proposal)
    _require_own_files(proposal)
    decision = _approval(ws, snapshot, proposal.id, entry)
    change = proposal.change
    message = compose(
        f"Approve {proposal.id}: {change.title}",
        entry.note or "",
        change_trailers(proposal.id, change.reason),
    )

    def check(tree: str) -> None:
        _require_in_order(ws, snapshot, proposal, tree, entry.reverified)

    if dry_run:
        check(merge_preview(ws.repo, ws.main_branch, proposal.branch.commit))
        commit = None
    else:
        commit = approve(
            ws.repo, ws.main_branch, proposal.branch.commit, {decision.path: decision.text}, message,
            check=check, sign=signs_decisions(snapshot),
        )  # fmt: skip
    headline = f"approved {proposal.id}: {change.title} ({decision.id})"
    said = (headline, *_approval_words(entry), *proof_said(ws, commit))
    return Done(decision.id, commit, said, {decision.path: decision.text}, dry_run=dry_run)


def _approval_words(entry: DecisionEntry) -> tuple[str, ...]:
    if entry.reverified is None:
        return ()
    return (f"re-verified by {entry.reverified.document}, {entry.reverified.body}",)


def _require_approver(ws: Workspace, snapshot: Snapshot, proposal: OpenProposal) -> None:
    """The proposer is who the record names, and who made the commits of the branch."""
    commits = walk(ws.repo, proposal.branch.commit, since=(ws.tip(),), first_parent=False)
    authors = {f"{c.author} <{c.author_mail}>" for c in commits if len(c.parents) < 2}
    asked = (proposal.change.by, *sorted(authors))
    require_decider(snapshot.settings.approval, str(identity(ws.repo)), asked, proposal.id)


def _require_own_files(proposal: OpenProposal) -> None:
    strange = tuple(
        path for path in proposal.paths if path.split("/", 1)[0] not in RECIPE_EDITS and path != proposal.path
    )
    if strange:
        raise Refused(
            f"the branch of {proposal.id} changes more than the recipe and its own record",
            "take these out of the branch; settings, hulls and other records do not ride along",
            strange,
        )


def _approval(ws: Workspace, snapshot: Snapshot, change_id: str, entry: DecisionEntry) -> NewRecord:
    for action in entry.hull_actions:
        hull = hull_named(snapshot, action.hull)
        one_of(f"part of hull {action.hull}", action.part, [part.part for part in hull.part])
    actions = [action.model_dump(exclude_unset=True) for action in entry.hull_actions]
    return new_record(
        ws, snapshot, "decision", entry.on, about=change_id, decision="approved", note=entry.note,
        reverification=_reverification(ws, entry), hull_action=tuple(actions),
    )  # fmt: skip


def _reverification(ws: Workspace, entry: DecisionEntry) -> dict[str, object] | None:
    if entry.reverified is None:
        return None
    document, body = entry.reverified.document.strip(), entry.reverified.body.strip()
    if not document or not body:
        raise CallError(
            "a re-verification names its document and who stands for it", "--reverified D --body B"
        )
    return {"document": document, "body": body, "by": str(identity(ws.repo)), "on": entry.on}


def _require_in_order(
    ws: Workspace, snapshot: Snapshot, proposal: OpenProposal, tree: str, reverified: Reverified | None
) -> None:
    reading = read_tree(ws, tree)
    message = f"{proposal.id} and main do not fit together, so nothing was merged"
    require_no_worse(ws, reading, set(proposal.paths), message)
    for model in sorted({*snapshot.models, proposal.change.model}):
        require_reverified(concerns(snapshot, reading.snapshot, model), reverified)


def require_reverified(open_concerns: Sequence[Concern], reverified: Reverified | None) -> None:
    """Refuse broken, re-based or eased minima that nobody has checked; a note is never enough."""
    if open_concerns and reverified is None:
        raise Refused(
            "required minima are broken or rest on something that changes",
            "say who checked it: --reverified DOCUMENT --body B",
            tuple(line.strip() for line in concern_words(open_concerns)),
        )


def propose_and_approve(
    ws: Workspace, entry: ChangeEntry, decision: DecisionEntry, dry_run: bool = False
) -> Done:
    """Both steps of a small yard; refused where the proposer cannot approve, before anything is written."""
    approval = ws.current().settings.approval
    if approval.distinct_approver:
        raise Refused(
            "the proposer cannot approve here, so nothing was written",
            "propose without --approve; someone else approves (approval.distinct_approver)",
        )
    require_entitled(approval, str(identity(ws.repo)), "changes")
    prepared = prepare(ws, entry)
    require_reverified(prepared.concerns, decision.reverified)
    proposed = write_proposal(ws, prepared, dry_run)
    if proposed.commit is None:
        return proposed
    change = prepared.record.record
    assert isinstance(change, Change)
    branch = ChangeBranch(
        prepared.record.id, f"refs/heads/change/{prepared.record.id}", proposed.commit, None
    )
    paths = (*(edit.path for edit in prepared.files), prepared.record.path)
    proposal = OpenProposal(branch.id, change, branch, paths)
    approved = approve_proposal(ws, ws.current(), proposal, decision)
    said = (*proposed.said, *approved.said)
    return Done(proposed.id, approved.commit, said, {**proposed.files, **approved.files})


def reject_change(ws: Workspace, change_id: str, note: str, on: date, dry_run: bool = False) -> Done:
    """Put the change record and the decision on main, without the recipe edit."""
    snapshot = ws.current()
    proposal = proposal_named(ws, snapshot, change_id)
    if not note.strip():
        raise Refused("a rejection needs a note", "say why: --note N")
    me = str(identity(ws.repo))
    if not same_person(me, proposal.change.by):  # a proposer may withdraw
        require_entitled(snapshot.settings.approval, me, proposal.id)
    decision = new_record(
        ws, snapshot, "decision", on, about=proposal.id, decision="rejected", note=note.strip()
    )
    files = {**read_files(ws.repo, proposal.branch.commit, proposal.path), decision.path: decision.text}
    subject = f"Reject {proposal.id}: {proposal.change.title}"
    commit = None
    if not dry_run:
        message = compose(subject, note.strip())
        commit = commit_record(ws.repo, ws.main_branch, files, message, sign=signs_decisions(snapshot))
    headline = f"rejected {proposal.id}: {proposal.change.title} ({decision.id}); the recipe stays as it is"
    said = (headline, *proof_said(ws, commit))
    return Done(decision.id, commit, said, files, dry_run=dry_run)
