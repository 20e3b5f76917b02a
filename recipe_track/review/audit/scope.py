"""What an audit looks at: main up to a revision or a day, its trail, its records, models and hulls."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from recipe_track.errors import CallError
from recipe_track.history.objects import digests
from recipe_track.history.signatures import verify_tag
from recipe_track.recipe.paths import file_at
from recipe_track.recipe.people import is_entitled, same_person
from recipe_track.recipe.records import Action, Attachment, Change, Deviation, Record, Trial, Weighing
from recipe_track.review.change.reverification import RevisionStep, fetch_steps
from recipe_track.review.choosing import one_of
from recipe_track.review.hull.effectivity import Effectivity, effectivity_of
from recipe_track.workspace import Reading, Revision, Workspace

if TYPE_CHECKING:
    from recipe_track.history.ancestry import Ancestor
    from recipe_track.history.refs import Refs, Release
    from recipe_track.history.revisions import Labels
    from recipe_track.history.signatures import Signature
    from recipe_track.recipe.snapshot import Snapshot
    from recipe_track.trail import Verdict
    from recipe_track.workspace.trail import Trail

_DAY = re.compile(r"\d{4}-\d{2}-\d{2}")


@dataclass(frozen=True, eq=False)
class Scope:
    """The repository as it stood at the revision, read wholly: the rules of an audit ask git nothing.

    `main` is its tip, records and hulls as first written, and `files` what lies there by path, `released`
    every release by its commit, `steps` the revisions of each model, `before_removals` the recipe before
    each commit that took a zone's file out, and `digests` the SHA-256 of what is attached; `asked` is the
    one model that was asked for.
    `signatures` are those of releases whose settings ask for one, by tag.
    """

    revision: Revision
    snapshot: Snapshot
    models: tuple[str, ...]
    trail: Trail
    verdict: Verdict
    fleet: Effectivity
    main_branch: str
    shallow: bool
    refs: Refs
    labels: Mapping[str, Labels]
    main: Reading
    files: Mapping[str, str]
    released: Mapping[str, Reading]
    steps: Mapping[str, tuple[RevisionStep, ...]]
    before_removals: Mapping[str, Snapshot]
    digests: Mapping[str, str]
    asked: str | None
    signatures: Mapping[str, Signature]

    def releases(self) -> Iterator[tuple[str, Release]]:
        """Every release of the models."""
        for model, labels in self.labels.items():
            for release in labels.releases:
                yield model, release

    def is_unseen(self, commit: str) -> bool:
        """Whether a commit may lie beyond the edge of a shallow clone."""
        return self.shallow and commit not in self.trail.by_id

    def looks_at(self, model: str | None) -> bool:
        """Whether a model is looked at: the one asked for, else all, also one that cannot be read."""
        return model is None or self.asked is None or model == self.asked

    def of_model(self, hull: str) -> bool:
        """Whether a hull is of one of the models looked at."""
        known = self.snapshot.hulls.get(self.snapshot.records.number_of(hull))
        return self.looks_at(known.model) if known is not None else self.asked is None

    def is_on(self, hull: str, model: str) -> bool:
        """Whether a hull is of a model."""
        known = self.snapshot.hulls.get(self.snapshot.records.number_of(hull))
        return known is not None and known.model == model

    def concerns(self, record: Record) -> bool:
        """Whether a record belongs to one of the models looked at; what belongs to none belongs to all."""
        if isinstance(record, Change):
            return self.looks_at(record.model)
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

    def acted_on(self, record_id: str, evidence: str | None = None) -> bool:
        """Whether an action that counts says what was done about a record, or one matter of it."""
        doing_of = self.snapshot.records[record_id].by
        actions = self.snapshot.records.actions_about(record_id)
        return any(
            self.may_act(name, action, doing_of)
            for name, action in actions
            if evidence is None or evidence in action.seen
        )


def scope_of(ws: Workspace, model: str | None, as_of: str | None) -> Scope:
    """The scope of an audit; CallError for a revision off main or an unknown model."""
    commit = ws.tip() if as_of is None else _commit(ws, model, as_of)
    then = ws if commit == ws.tip() else ws.with_main_at(commit)
    snapshot = then.current()
    models = tuple(sorted(snapshot.models))
    if model is not None:
        models = (one_of("model", model, models),)
    return _read(then, then.revision_of(commit, then.only_model(model)), snapshot, models, model)


def _read(
    ws: Workspace, revision: Revision, snapshot: Snapshot, models: tuple[str, ...], asked: str | None
) -> Scope:
    trail, tip = ws.trail, ws.tip()
    released = () if asked else (release.model for release in ws.refs.releases)
    labels = {model: ws.labels(model) for model in sorted({*models, *released})}
    releases = [release.commit for named in labels.values() for release in named.releases]
    return Scope(
        revision, snapshot, models, trail, trail.verdict, effectivity_of(ws, snapshot),
        ws.main_branch, ws.repo.shallow, ws.refs, labels,
        ws.read_main(), ws.files_at(tip),
        ws.read_each(releases),
        {model: fetch_steps(ws, model, tip) for model in models},
        _before_removals(ws, models),
        digests(ws.repo, tip, [one.path for _, one in attached(trail)]), asked,
        dict(_signatures(ws, (release for named in labels.values() for release in named.releases))),
    )  # fmt: skip


def _signatures(ws: Workspace, releases: Iterable[Release]) -> Iterator[tuple[str, Signature]]:
    for release in releases:
        rules = ws.trail.approval_at(release.commit)
        if rules is not None and rules.signed:
            yield release.tag, verify_tag(ws.repo, release.tag_id, "\n".join((*rules.keys, "")).encode())


def attached(trail: Trail) -> Iterator[tuple[str, Attachment]]:
    """Everything that is attached to a record, with the record's id."""
    for name, record in trail.written.items():
        yield from ((name, one) for one in getattr(record, "attachments", ()))


def _before_removals(ws: Workspace, models: tuple[str, ...]) -> dict[str, Snapshot]:
    parents = (
        commit.parents[0] for commit in ws.trail.ancestors if commit.parents and _removes(commit, models)
    )
    known = [parent for parent in parents if parent in ws.trail.by_id]
    return {commit: reading.snapshot for commit, reading in ws.along(known)}


def _removes(commit: Ancestor, models: Iterable[str]) -> bool:
    return any(True for model in models for _ in removed_zones(commit, model))


def removed_zones(commit: Ancestor, model: str) -> Iterator[str]:
    """Zones of a model whose files a commit took out."""
    for touch in commit.touches:
        file = file_at(touch.path)
        if not touch.after and file and file.kind == "zone" and file.model == model:
            yield file.id


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
