"""The whole life of a hull: its record, the changes that it carries, and what became of what was seen."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from recipe_track.recipe.records import Action, Change, Decision, Verification
from recipe_track.recipe.states import ChangeState, change_state
from recipe_track.review.change.register import first_releases
from recipe_track.review.choosing import hull_named
from recipe_track.review.hull.as_built import HullRecord, HullSources, fetch_hulls, hull_record
from recipe_track.review.hull.weighings import Weighed, weighed

if TYPE_CHECKING:
    from recipe_track.history.refs import Release
    from recipe_track.recipe.snapshot import Snapshot
    from recipe_track.workspace import Revision, Workspace


@dataclass(frozen=True, slots=True)
class Carried:
    """A change that parts of a hull have: by their release, or carried out on them since (`later`)."""

    id: str
    change: Change
    parts: tuple[str, ...]
    later: bool
    release: str | None
    state: ChangeState
    verifications: tuple[tuple[str, Verification], ...]


@dataclass(frozen=True, slots=True)
class Became:
    """What became of an observation or a deviation: decisions, actions, and changes that answer it."""

    decisions: tuple[tuple[str, Decision], ...]
    actions: tuple[tuple[str, Action], ...]
    changes: tuple[tuple[str, Change], ...]


@dataclass(frozen=True, slots=True)
class HullLife:
    """Everything that is on record of one hull, as main has it."""

    yard: str | None
    as_of: Revision
    record: HullRecord
    releases: tuple[tuple[str, str, Release | None], ...]
    carried: tuple[Carried, ...]
    weighings: tuple[Weighed, ...]
    became: dict[str, Became]
    actions: tuple[tuple[str, Action], ...]


def hull_life(ws: Workspace, number: str) -> HullLife:
    """The life of a hull by any number it has or had."""
    sources = fetch_hulls(ws, ws.current())
    releases = first_releases(ws, sources.fleet.landed, sources.snapshot)
    model = hull_named(sources.snapshot, number).model
    return _life(sources, ws.revision_of(ws.tip(), model), releases, number)


def _life(sources: HullSources, as_of: Revision, releases: Mapping[str, str], number: str) -> HullLife:
    snapshot, record = sources.snapshot, hull_record(sources, number)
    seen = [row.id for row in record.observations] + [row.id for row in record.deviations]
    return HullLife(
        snapshot.settings.yard, as_of, record,
        tuple(_releases(sources, record)), tuple(_carried(sources, releases, record)),
        weighed(sources, record.number), {name: _became(snapshot, name) for name in seen},
        tuple(_actions(snapshot, record)),
    )  # fmt: skip


def _releases(sources: HullSources, record: HullRecord) -> Iterator[tuple[str, str, Release | None]]:
    """Label and commit of every release that steps name, with the tag as it stands now, in order."""
    tags = {release.label: release for release in sources.labels[record.hull.model].releases}
    steps = (shown.step for shown in record.steps)
    named = {(step.revision, step.commit) for step in steps if step.revision and step.commit}
    for label, commit in sorted(named, key=lambda pair: (int(pair[0].removeprefix("r")), pair[1])):
        yield label, commit, tags.get(label)


def _carried(sources: HullSources, releases: Mapping[str, str], record: HullRecord) -> Iterator[Carried]:
    """Approved changes that reach a part and that it has, oldest first; those carried out since apart."""
    snapshot, fleet = sources.snapshot, sources.fleet
    for name, landing in fleet.landed.items():
        change = snapshot.records.approved_changes.get(name)
        having = [
            part.part
            for part in record.parts
            if change and fleet.has(part.part, name) and fleet.touches(landing, record.hull.model, part.part)
        ]
        for later in (False, True):
            parts = tuple(part.part for part in having if (name in part.done) is later)
            if change and parts:
                yield Carried(
                    name, change, parts, later, releases.get(name),
                    change_state(snapshot.records, name, releases),
                    tuple(snapshot.records.verifications_of(name)),
                )  # fmt: skip


def _became(snapshot: Snapshot, record_id: str) -> Became:
    records = snapshot.records
    answering = {
        name: change
        for name, change in records.approved_changes.items()
        if record_id in (*change.trials, *change.answers)
    }
    return Became(
        tuple(records.decisions_about(record_id)), tuple(records.actions_about(record_id)),
        tuple(answering.items()),
    )  # fmt: skip


def _actions(snapshot: Snapshot, record: HullRecord) -> Iterator[tuple[str, Action]]:
    """Actions about findings that name this hull."""
    for name, action in snapshot.records.of_kind(Action):
        words = action.about.replace(",", " ").split()
        if "hull" in words and record.number in words:
            yield name, action
