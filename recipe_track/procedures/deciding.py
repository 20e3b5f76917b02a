"""Decisions about changes: approved as one merge, or rejected with the record and without the edit."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from recipe_track.errors import CallError, Refused
from recipe_track.history.ancestry import ancestry
from recipe_track.history.aside import objects_aside
from recipe_track.history.log import walk
from recipe_track.history.merges import approve, merge_preview
from recipe_track.history.objects import RECIPE_EDITS, read_files
from recipe_track.history.people import Person, compose, identity
from recipe_track.history.refs import ChangeBranch
from recipe_track.procedures.proposing import (
    ChangeEntry,
    change_trailers,
    prepare,
    require_no_worse,
    write_proposal,
)
from recipe_track.procedures.writing import (
    Done,
    NewRecord,
    new_record,
    noted,
    proof_of,
    put_records,
    require_not_before,
    require_not_said,
    signed_files,
    with_records,
)
from recipe_track.recipe.people import same_person
from recipe_track.recipe.records import Change, HullAction
from recipe_track.recipe.snapshot import Snapshot
from recipe_track.review.authority import require_decider, require_entitled
from recipe_track.review.change.minima import Concern, concern_words, concerns
from recipe_track.review.change.register import (
    OpenProposal,
    mains,
    proposal_named,
    read_tree,
    undecided_on_main,
)
from recipe_track.review.choosing import hull_named, hull_part_named
from recipe_track.review.past.changes_on_main import changes_on_main
from recipe_track.trail.texts import blob_id
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
    """Merge a proposal into main with the decision that approves it; what has landed gets that alone."""
    snapshot = ws.current()
    waiting = undecided_on_main(ws, snapshot, change_id)
    if waiting is not None:
        return _approve_landed(ws, snapshot, change_id.upper(), waiting, entry, dry_run)
    return approve_proposal(ws, snapshot, proposal_named(ws, snapshot, change_id), entry, dry_run)


def approve_proposal(
    ws: Workspace, snapshot: Snapshot, proposal: OpenProposal, entry: DecisionEntry, dry_run: bool = False
) -> Done:
    """Merge it, once everything that could be refused has been looked at."""
    if proposal.superseded_by is not None:
        raise Refused(f"{proposal.id} is superseded by {proposal.superseded_by}", "decide on that one")
    _require_approver(ws, snapshot, proposal)
    _require_own_files(proposal)
    _require_unaltered(proposal)
    require_not_before(entry.on, proposal.change.on, proposal.id)
    decision = _approval(ws, snapshot, proposal.id, proposal.blob, entry)
    change = proposal.change
    message = compose(
        f"Approve {proposal.id}: {change.title}",
        entry.note or "",
        change_trailers(proposal.id, change.reason),
    )

    def check(tree: str) -> None:
        _require_in_order(ws, snapshot, proposal, tree, entry.reverified)

    if dry_run:
        with objects_aside(ws.repo):
            check(merge_preview(ws.repo, ws.main_branch, proposal.branch.commit))
        commit, files = None, {decision.path: decision.text}
    else:
        files = signed_files(ws, snapshot, decision)
        commit = approve(
            ws.repo, ws.main_branch, proposal.branch.commit, files, message, check=check, base=ws.refs.main,
            moved=lambda tip: require_not_said(ws, (decision,), tip),
        )  # fmt: skip
    told = f"approved {proposal.id}: {change.title} ({decision.id})"
    said = (told, *_approval_words(entry), *((proof_of(snapshot),) if commit else ()), *noted(ws))
    return Done(decision.id, commit, said, files, dry_run=dry_run)


def _approve_landed(
    ws: Workspace, snapshot: Snapshot, change_id: str, change: Change, entry: DecisionEntry, dry_run: bool
) -> Done:
    """Decide on a change whose record is on main, before its edits or after: only the decision is added."""
    landing = changes_on_main(ws).get(change_id)
    authors = [f"{c.author} <{c.author_mail}>" for c in landing.commits] if landing else []
    _require_other(ws, snapshot, change_id, change, authors)
    if landing is not None and landing.first.parents:
        before = ws.read(ws.revision_of(landing.first.parents[0], None)).snapshot
        after = ws.read(ws.revision_of(landing.last.id, None)).snapshot
        for model in sorted(after.models):
            require_reverified(concerns(before, after, model), entry.reverified)
    decision = _approval(ws, snapshot, change_id, ws.trail.origin_of[change_id].blob, entry)
    with_records(snapshot, decision)
    told = f"approved {change_id}, after the fact: {change.title} ({decision.id})"
    return put_records(
        ws, decision, subject=f"Approve {change_id}: {change.title}", body=entry.note or "",
        said=(told, *_approval_words(entry)), decides=True, dry_run=dry_run,
    )  # fmt: skip


def _require_unaltered(proposal: OpenProposal) -> None:
    if proposal.altered:
        raise Refused(
            f"the branch of {proposal.id} is not what its record says, so nothing was merged",
            f"propose it anew: `change propose --replaces {proposal.id}`",
            proposal.altered,
        )


def _approval_words(entry: DecisionEntry) -> tuple[str, ...]:
    if entry.reverified is None:
        return ()
    return (f"re-verified by {entry.reverified.document}, {entry.reverified.body}",)


def _require_approver(ws: Workspace, snapshot: Snapshot, proposal: OpenProposal) -> None:
    """The proposer is who the record names, and who made the commits of the branch."""
    commits = walk(ws.repo, proposal.branch.commit, since=mains(ws), first_parent=False)
    authors = {f"{c.author} <{c.author_mail}>" for c in commits if len(c.parents) < 2}
    _require_other(ws, snapshot, proposal.id, proposal.change, sorted(authors))


def _require_other(
    ws: Workspace, snapshot: Snapshot, change_id: str, change: Change, authors: Sequence[str]
) -> None:
    """Neither who asked for a change nor who made its commits approves it."""
    approval, me = snapshot.settings.approval, str(identity(ws.repo))
    require_decider(approval, me, (change.by,), change_id)
    require_decider(approval, me, tuple(authors), change_id, "made commits of")


def _require_own_files(proposal: OpenProposal) -> None:
    strange = tuple(
        path for path in proposal.paths if path.split("/", 1)[0] not in RECIPE_EDITS and path != proposal.path
    )
    if strange:
        raise Refused(
            f"the branch of {proposal.id} changes more than the recipe and its own record",
            "fetch and pull first, should main hold these by now; else take them out of the branch: "
            "hulls and other records do not ride along",
            strange,
        )


def _approval(
    ws: Workspace, snapshot: Snapshot, change_id: str, blob: str, entry: DecisionEntry
) -> NewRecord:
    for action in entry.hull_actions:
        hull_named(snapshot, action.hull)
        hull_part_named(snapshot, action.hull, action.part)
    actions = [action.model_dump(exclude_unset=True) for action in entry.hull_actions]
    return new_record(
        ws, snapshot, "decision", entry.on, about=change_id, decides=blob, decision="approved",
        note=entry.note, reverification=reverification_of(ws, entry.reverified, entry.on),
        hull_action=tuple(actions),
    )  # fmt: skip


def reverification_of(ws: Workspace, reverified: Reverified | None, on: date) -> dict[str, object] | None:
    """What a decision records of it; refused without a document, or without who stands for that."""
    if reverified is None:
        return None
    document, body = reverified.document.strip(), reverified.body.strip()
    if not document or not body:
        raise CallError(
            "a re-verification names its document and who stands for it", "--reverified D --body B"
        )
    return {"document": document, "body": body, "by": str(identity(ws.repo)), "on": on}


def _require_in_order(
    ws: Workspace, snapshot: Snapshot, proposal: OpenProposal, tree: str, reverified: Reverified | None
) -> None:
    reading = read_tree(ws, tree)
    message = f"{proposal.id} and main do not fit together, so nothing was merged"
    require_no_worse(ws, reading, set(proposal.paths), message)
    for model in sorted({*snapshot.models, *reading.snapshot.models}):
        require_reverified(concerns(snapshot, reading.snapshot, model), reverified)


def require_reverified(found: Sequence[Concern], reverified: Reverified | None) -> None:
    """Refuse broken, re-based or eased minima that nobody has checked; a note is never enough."""
    if found and reverified is None:
        raise Refused(
            "minima or margins fall short, or rest on something that changes",
            "say who checked it: --reverified DOCUMENT --body B",
            tuple(line.strip() for line in concern_words(found)),
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
    with objects_aside(ws.repo, dry_run):
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
    blob = blob_id(prepared.record.text, proposed.commit)
    proposal = OpenProposal(branch.id, change, branch, paths, blob)
    approved = approve_proposal(ws, ws.current(), proposal, decision)
    said = (*proposed.said, *approved.said)
    return Done(proposed.id, approved.commit, said, {**proposed.files, **approved.files})


def reject_change(ws: Workspace, change_id: str, note: str, on: date, dry_run: bool = False) -> Done:
    """Put the change record and the decision on main, without the recipe edit."""
    snapshot = ws.current()
    if not note.strip():
        raise Refused("a rejection needs a note", "say why: --note N")
    waiting = undecided_on_main(ws, snapshot, change_id)
    if waiting is not None:
        name, change, files, author = change_id.upper(), waiting, {}, None
        blob = ws.trail.origin_of[name].blob
    else:
        proposal = proposal_named(ws, snapshot, change_id)
        name, change, blob = proposal.id, proposal.change, proposal.blob
        files = read_files(ws.repo, proposal.branch.commit, proposal.path)
        author = _bringer(ws, proposal)
    require_not_before(on, change.on, name)
    me = str(identity(ws.repo))
    if not same_person(me, change.by):  # a proposer may withdraw
        require_entitled(snapshot.settings.approval, me, name)
    decision = new_record(
        ws, snapshot, "decision", on, about=name, decides=blob, decision="rejected", note=note.strip()
    )
    told = f"rejected {name}: {change.title} ({decision.id}); "
    told += "take its edit back" if waiting else "the recipe stays as it is"
    return put_records(
        ws, decision, subject=f"Reject {name}: {change.title}", body=note.strip(), said=(told,), files=files,
        decides=True, author=author, dry_run=dry_run,
    )  # fmt: skip


def _bringer(ws: Workspace, proposal: OpenProposal) -> Person | None:
    """Who made the commit that first brought the record of a proposal: not always the one it names."""
    for commit in ancestry(ws.repo, proposal.branch.commit, since=mains(ws)):
        if any(touch.path == proposal.path for touch in commit.touches):
            return Person(commit.author, commit.author_mail)
    return None
