"""What an audit looks at: main up to a revision or a day, its trail, its records, models and hulls."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from recipe_track.errors import CallError
from recipe_track.history.refs import Release
from recipe_track.recipe.people import is_entitled, same_person
from recipe_track.recipe.records import Action, Change, Deviation, Record, Trial, Weighing
from recipe_track.recipe.snapshot import Snapshot
from recipe_track.review.choosing import one_of
from recipe_track.review.hull.effectivity import Effectivity
from recipe_track.workspace import Revision, Workspace
from recipe_track.workspace.trail import Trail

_DAY = re.compile(r"\d{4}-\d{2}-\d{2}")


@dataclass(frozen=True, eq=False)
class Scope:
    """The repository as it stood at the revision, and what is looked at."""

    ws: Workspace
    revision: Revision
    snapshot: Snapshot
    models: tuple[str, ...]

    @property
    def trail(self) -> Trail:
        """What main's ancestry says."""
        return self.ws.trail

    @cached_property
    def fleet(self) -> Effectivity:
        """The hulls held against the history."""
        return Effectivity(self.ws, self.snapshot)

    def releases(self) -> Iterator[tuple[str, Release]]:
        """Every release of the models."""
        for model in self.models:
            for release in self.ws.labels(model).releases:
                yield model, release

    def is_unseen(self, commit: str) -> bool:
        """Whether a commit may lie beyond the edge of a shallow clone."""
        return self.ws.repo.shallow and commit not in self.trail.by_id

    def of_model(self, hull: str) -> bool:
        """Whether a hull is of one of the models looked at."""
        known = self.snapshot.hulls.get(self.snapshot.records.number_of(hull))
        return known is not None and known.model in self.models

    def concerns(self, record: Record) -> bool:
        """Whether a record belongs to one of the models looked at; what belongs to none belongs to all."""
        if isinstance(record, Change):
            return record.model is None or record.model in self.models
        if isinstance(record, Trial | Deviation | Weighing):
            return self.of_model(record.hull)
        subject = self.snapshot.records.get(getattr(record, "about", ""))
        return subject is None or self.concerns(subject)

    def may_act(self, name: str, action: Action, doing_of: str | None) -> bool:
        """Whether an action is by someone entitled, and not by whoever's doing it was."""
        rules = self.trail.rules_for(name)
        own = doing_of is not None and same_person(action.by, doing_of)
        if own and any(one.distinct_approver for one in rules):
            return False
        return all(is_entitled(one, action.by) for one in rules)

    def acted_on(self, record_id: str) -> bool:
        """Whether an action that counts says what was done about a record."""
        doing_of = self.snapshot.records[record_id].by
        actions = self.snapshot.records.actions_about(record_id)
        return any(self.may_act(name, action, doing_of) for name, action in actions)


def scope_of(ws: Workspace, model: str | None, as_of: str | None) -> Scope:
    """The scope of an audit; CallError for a revision off main or an unknown model."""
    commit = ws.tip() if as_of is None else _commit(ws, model, as_of)
    then = ws if commit == ws.tip() else ws.with_main_at(commit)
    snapshot = then.current()
    models = tuple(sorted(snapshot.models))
    if model is not None:
        models = (one_of("model", model, models),)
    return Scope(then, then.revision_of(commit, then.only_model(model)), snapshot, models)


def _commit(ws: Workspace, model: str | None, as_of: str) -> str:
    """The commit that main stood at: a revision of it, or the last commit of a day."""
    if _DAY.fullmatch(as_of):
        known = [commit for commit in ws.commits if commit.date[:10] <= as_of]
        if not known:
            raise CallError(f"{ws.main_branch} had no commit yet on {as_of}")
        return known[0].id
    commit = ws.revision(as_of, ws.only_model(model)).commit
    if commit is None or commit not in ws.trail.by_id:
        raise CallError(f"`{as_of}` is not a revision of {ws.main_branch}", "an audit looks at main")
    return commit
