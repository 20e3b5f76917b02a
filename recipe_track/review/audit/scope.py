"""What an audit looks at: main up to a revision, its records, its models and releases."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from recipe_track.errors import CallError
from recipe_track.history.log import Commit
from recipe_track.history.refs import Release
from recipe_track.recipe.snapshot import Snapshot
from recipe_track.review.choosing import one_of
from recipe_track.review.hull.effectivity import Effectivity
from recipe_track.review.past.changes_on_main import ChangeOnMain, changes_on_main
from recipe_track.workspace import Revision, Workspace


@dataclass(frozen=True, slots=True)
class Finding:
    """Something not in order: the rule, what it is about, what is wrong, and what to do."""

    rule: str
    subject: str
    message: str
    remedy: str


@dataclass(frozen=True, slots=True, eq=False)
class Scope:
    """Main's first-parent commits up to the revision, newest first, and what is written there."""

    ws: Workspace
    revision: Revision
    commits: tuple[Commit, ...]
    snapshot: Snapshot
    models: tuple[str, ...]
    landed: Mapping[str, ChangeOnMain]
    effectivity: Effectivity

    def releases(self) -> Iterator[tuple[str, Release]]:
        """Releases of the models, those on main up to the revision and those off main by their date."""
        known = {commit.id for commit in self.commits}
        chain = {commit.id for commit in self.ws.commits}
        for model in self.models:
            for release in self.ws.labels(model).releases:
                later = release.commit in chain and release.commit not in known
                if not later and release.date <= self.until:
                    yield model, release

    @property
    def until(self) -> str:
        """The moment the audit looks up to; the end of time at main's tip."""
        whole = not self.commits or self.commits[0].id == self.ws.commits[0].id
        return "9999" if whole else self.revision.date or "9999"

    def of_model(self, hull: str) -> bool:
        """Whether a hull is of one of the models looked at."""
        known = self.snapshot.hulls.get(hull)
        return known is not None and known.model in self.models


def scope_of(ws: Workspace, model: str | None, as_of: str | None) -> Scope:
    """The scope of an audit; CallError for a revision off main or an unknown model."""
    revision = (
        ws.revision(as_of, ws.only_model(model)) if as_of else ws.revision_of(ws.tip(), ws.only_model(model))
    )
    place = next((n for n, commit in enumerate(ws.commits) if commit.id == revision.commit), None)
    if place is None:
        raise CallError(f"`{as_of}` is not a revision of {ws.main_branch}", "an audit looks at main")
    commits = ws.commits[place:]
    snapshot = ws.read(revision, with_records=True).snapshot
    models = tuple(sorted(snapshot.models))
    if model is not None:
        models = (one_of("model", model, models),)
    effectivity = Effectivity(ws, snapshot)
    return Scope(ws, revision, commits, snapshot, models, changes_on_main(ws.repo, commits), effectivity)
