"""The revisions a person can choose from."""

from collections.abc import Iterator
from dataclasses import dataclass

from recipe_track.history.ancestry import Ancestor
from recipe_track.review.change.register import open_proposals
from recipe_track.review.past.course import changes_at, is_join, joins_words
from recipe_track.workspace import WORKING, Workspace


@dataclass(frozen=True, slots=True)
class RevisionChoice:
    """One revision: `text` names it on the command line; `released` tells a release."""

    text: str
    shown: str
    date: str | None
    words: str
    released: bool = False


def revision_choices(ws: Workspace, model: str) -> tuple[RevisionChoice, ...]:
    """Working files first, then open proposals, then the revisions of the model, newest first."""
    return (*_working(ws), *_proposals(ws, model), *_revisions(ws, model))


def _working(ws: Workspace) -> Iterator[RevisionChoice]:
    if not ws.repo.bare:
        yield RevisionChoice(WORKING, WORKING, None, "the files as they lie")


def _proposals(ws: Workspace, model: str) -> Iterator[RevisionChoice]:
    for proposal in open_proposals(ws, ws.current()):
        if proposal.change.model == model and proposal.superseded_by is None:
            words = f"proposed, not decided: {proposal.change.title}"
            on = proposal.change.on.isoformat()
            yield RevisionChoice(proposal.branch.ref, proposal.id, on, words)


def _revisions(ws: Workspace, model: str) -> Iterator[RevisionChoice]:
    labels = ws.labels(model)
    released = {release.commit for release in labels.releases if release.on_main}
    for commit in labels.revisions:
        shown = labels.of(commit.id) or commit.id[:10]
        is_release = commit.id in released or shown in {release.label for release in labels.releases}
        yield RevisionChoice(commit.id, shown, commit.date, _reasons(ws, commit), is_release)


def _reasons(ws: Workspace, commit: Ancestor) -> str:
    changes = changes_at(ws, commit)
    return joins_words(changes) if is_join(ws, commit) else "; ".join(change.reason for change in changes)
