"""The life of a hull as a page to print and to keep: what stands open first, then everything on record."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from recipe_track.present.pages.html import rendered_page
from recipe_track.present.terminal.hulls import (
    INSPECTED_BY_NOBODY,
    deviating_lines,
    deviation_lines,
    lacking_lines,
    part_lines,
    step_words,
    weighing_lines,
)
from recipe_track.present.words.figures import CAUTION, day_words
from recipe_track.present.words.hull_life import action_lines, became_lines, carried_lines
from recipe_track.present.words.records import date_words, former_words, hold_line, trial_line
from recipe_track.review.authority import NOT_PROVEN
from recipe_track.review.hull.as_built import HullRecord, StepShown
from recipe_track.review.hull.life import HullLife
from recipe_track.review.hull.overview import TrialRow

CAUTIONS = (
    INSPECTED_BY_NOBODY,
    "Figures of a part with changes carried out on it are those of its release, without them.",
    CAUTION,
    f"Names are what git says of people ({NOT_PROVEN} by this page).",
)


@dataclass(frozen=True, slots=True)
class Entry:
    """One thing on record: a head, and what is said of it."""

    head: str
    lines: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Section:
    """Entries under a heading; `empty` is said where there are none."""

    title: str
    empty: str
    entries: tuple[Entry, ...]


@dataclass(frozen=True, slots=True)
class StepRow:
    """Who moved what when; the mail apart, so that it is not broken where it fits on a line."""

    where: str
    day: str
    step: str
    by: str
    mail: str
    record: str
    note: str


def hull_page(life: HullLife, paper: str = "a4") -> str:
    """The whole page; the same bytes for the same repository on every machine."""
    record = life.record
    title = f"Hull {record.number} · {record.hull.model}"
    return rendered_page(
        "hull.html",
        title=f"Life of {title}",
        paper=f"{paper} portrait",
        marks=("HOLD",) if record.holds else (),
        footer=f"Life of {title} · as on main at commit {life.as_of.commit}",
        heading=tuple(_heading(life)),
        warnings=[hold_line(hold) for hold in record.holds] + list(_disagreeing(record)),
        steps=[_step(record, shown) for shown in record.steps],
        releases=list(_releases(life)),
        sections=tuple(_sections(life)),
        cautions=CAUTIONS,
    )


def _heading(life: HullLife) -> Iterator[tuple[str, str]]:
    hull = life.record.hull
    if life.yard:
        yield "Yard", life.yard
    yield "Model", hull.model
    yield "Hull", f"{life.record.number}{f', {hull.was} before' if hull.was else ''}"
    if hull.customer_reference:
        yield "Customer's reference", hull.customer_reference
    yield "State", life.record.state.state
    yield "First release", hull.first_release
    yield "As on main", f"commit {life.as_of.commit}, {day_words(life.as_of.date)}"


def _disagreeing(record: HullRecord) -> Iterator[str]:
    for parted in record.state.disagreements:
        yield f"{parted.part or 'the whole hull'}: steps {' and '.join(parted.steps)} disagree"


def _step(record: HullRecord, shown: StepShown) -> StepRow:
    step = shown.step
    name, bracket, mail = step.by.partition(" <")
    return StepRow(
        shown.part or "whole hull", date_words(step.on), step_words(record, shown), name,
        f"<{mail}" if bracket else "", shown.id, step.note or "",
    )  # fmt: skip


def _releases(life: HullLife) -> Iterator[tuple[str, ...]]:
    for label, commit, tag in life.releases:
        built = (shown.part for shown in life.record.parts)
        parts = [part.part for part in built if (part.revision, part.commit) == (label, commit)]
        if tag is None:
            said = "no tag is there"
        elif tag.commit != commit:
            said = f"the tag was moved: it stands at {tag.commit[:10]} now"
        else:
            said = f"{day_words(tag.date)}, {tag.tagger}"
        yield label, commit, said, ", ".join(parts) or "none any more"


def _sections(life: HullLife) -> Iterator[Section]:
    record = life.record
    undecided = lacking_lines([lack for lack in record.lacking if lack.action is None])
    decided = lacking_lines([lack for lack in record.lacking if lack.action is not None])
    still_open = [row for row in record.observations if row.state != "answered"]
    answered = [row for row in record.observations if row.state == "answered"]
    yield Section("Open observations", "No observation is open.", tuple(_seen(life, still_open)))
    yield Section(
        "Changes not built in, and nothing decided for this hull", "There is none.", tuple(_heads(undecided))
    )
    yield Section("Changes not built in, decided", "There is none.", tuple(_heads(decided)))
    yield Section("Parts", "No part is recorded.", tuple(_parts(record)))
    yield Section("Changes built in", "None is on record.", tuple(_carried(life)))
    yield Section("Deviations", "None is on record.", tuple(_deviations(life)))
    yield Section("Weighed against computed", "It was not weighed.", tuple(_weighed(life)))
    yield Section("Observations that are answered", "There is none.", tuple(_seen(life, answered)))
    yield Section("Actions about findings", "There is none.", tuple(_actions(life)))


def _heads(lines: Iterable[str]) -> Iterator[Entry]:
    return (Entry(line) for line in lines)


def _parts(record: HullRecord) -> Iterator[Entry]:
    for part in record.parts:
        head, *rest = part_lines(part)
        yield Entry(head, _stripped(rest))


def _carried(life: HullLife) -> Iterator[Entry]:
    for carried in life.carried:
        yield Entry(f"{carried.id} {carried.change.title}", tuple(carried_lines(carried)))


def _deviations(life: HullLife) -> Iterator[Entry]:
    built = {zone.name: zone for part in life.record.parts for zone in part.zones or ()}
    for row in life.record.deviations:
        head, *rest = deviation_lines(row)
        zone = built.get(row.deviation.zone) if row.former is None else None
        figures = deviating_lines(zone) if zone else ()
        yield Entry(head, (*_stripped((*rest, *figures)), *became_lines(life.became[row.id])))


def _weighed(life: HullLife) -> Iterator[Entry]:
    for row in life.weighings:
        head, *rest = weighing_lines([row])
        note = (row.weighing.note,) if row.weighing.note else ()
        yield Entry(head, (*_stripped(rest), f"weighed by {row.weighing.by}", *note))


def _seen(life: HullLife, rows: Iterable[TrialRow]) -> Iterator[Entry]:
    for row in rows:
        became = became_lines(life.became[row.id])
        attached = (f"attached: {one.path}" for one in row.trial.attachments)
        conditions = (row.trial.conditions,) if row.trial.conditions else ()
        said = (f"“{row.trial.text}”", *conditions, f"logged by {row.trial.by}", *attached)
        yield Entry(
            f"{trial_line(row.id, row.trial)}{former_words(row.former)}: {row.state}", (*said, *became)
        )


def _actions(life: HullLife) -> Iterator[Entry]:
    for name, action in life.actions:
        yield Entry(action.about, tuple(action_lines(name, action)))


def _stripped(lines: Iterable[str]) -> tuple[str, ...]:
    return tuple(line.strip() for line in lines)
