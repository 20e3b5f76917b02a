"""The dossier of a change: one self-contained page for a review meeting and for the file."""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from recipe_track.figures.results import CENTRE_KEYS, CRAFT_KEYS, as_read
from recipe_track.impact.effects import ConditionImpact, ZoneImpact
from recipe_track.present.pages.dossier_zones import FigureRow, figure_rows, limit_text, verdict, zone_pages
from recipe_track.present.pages.drawing import legend
from recipe_track.present.pages.html import rendered_page
from recipe_track.present.words.causes import cause_list
from recipe_track.present.words.changes import change_sections
from recipe_track.present.words.comparison import (
    SIDE_WORDS,
    answered_words,
    balance_lines,
    by_effect,
    changed_words,
    delta_words,
    exceeded_everywhere,
    material_lines,
    no_reason_words,
    open_words,
)
from recipe_track.present.words.figures import CAUTION, PART_SHOWN, day_words, held_words, revision_words
from recipe_track.present.words.records import hold_line
from recipe_track.present.words.units import (
    as_given,
    limit_words,
    number,
    signed,
    signed_quantity,
    words_for,
)
from recipe_track.review.authority import NOT_PROVEN
from recipe_track.review.change.comparison import Comparison, Side
from recipe_track.review.change.reasons import Reason
from recipe_track.review.change.register import ChangeShown
from recipe_track.workspace import Revision

DOSSIER_CAUTIONS = (
    CAUTION,
    "A measured foot load is compared only with the figure for the same load and place, never with the "
    "deflection under pressure.",
    f"Names are what git says of people ({NOT_PROVEN} by this page); signatures stand on the paper.",
)
NOT_MET = "NOT MET"


@dataclass(frozen=True, slots=True)
class ReasonView:
    """One change and what it answers."""

    name: str
    title: str
    reason: str
    facts: tuple[tuple[str, str], ...]
    observations: tuple[str, ...]
    trail: tuple[tuple[str, tuple[str, ...]], ...]


def dossier_page(comparison: Comparison, shown: Mapping[str, ChangeShown], paper: str = "a4") -> str:
    """The whole page; the same bytes for the same repository on every machine.

    `shown` are the changes behind the reasons with all that is on record of them.
    """
    changed = by_effect([z for z in comparison.impact.zones if z.status != "unchanged"])
    zones = [zone_pages(zone, comparison, n) for n, zone in enumerate(changed, start=1)]
    title = f"{comparison.model} {comparison.before.revision.shown} → {comparison.after.revision.shown}"
    reach = comparison.reach
    return rendered_page(
        "dossier.html",
        title=f"Change dossier {title}",
        paper=f"{paper} portrait",
        marks=page_marks(comparison),
        footer=f"Change dossier {title} · {_commit(comparison.after.revision)}",
        heading=tuple(_heading(comparison)),
        summary=summary_lines(comparison, changed),
        reasons=[_reason(reason, shown.get(reason.change or "")) for reason in comparison.reasons],
        craft=craft_pages(comparison),
        currency=comparison.currency or "",
        zones=zones,
        unchanged=[z.zone for z in comparison.impact.zones if z.status == "unchanged"],
        before=comparison.before.revision.shown,
        after=comparison.after.revision.shown,
        legend=legend("legend"),
        hulls=[(p.hull, p.part, p.revision, p.state, p.status, SIDE_WORDS[p.side]) for p in reach.hulls],
        in_build=[p.hull for p in reach.in_build()],
        open_matters=[open_words(seen) for seen in reach.observations],
        holds=[hold_line(hold) for hold in reach.holds],
        materials=tuple(material_lines(reach, comparison.model)),
        as_of=_as_of(reach.as_of),
        roles=("Design", "Production", "Quality", "Approval"),
        exceeded=tuple(exceeded_everywhere(comparison.after.zones().values())),
        cautions=DOSSIER_CAUTIONS,
    )


def page_marks(comparison: Comparison) -> tuple[str, ...]:
    """What stands across every page: a revision that is no release, a changed zone on hold."""
    label = comparison.after.revision.label
    released = label is not None and re.fullmatch(r"r[1-9][0-9]*", label) is not None
    figures = comparison.after.zones()
    held = any(
        zone.status != "unchanged" and zone.zone in figures and figures[zone.zone].hold
        for zone in comparison.impact.zones
    )
    return tuple(word for word, holds in (("NOT RELEASED", not released), ("HOLD", held)) if holds)


def _commit(revision: Revision) -> str:
    return f"commit {revision.commit}" if revision.commit else "working files, not committed"


def _as_of(revision: Revision | None) -> str:
    return f"as on main at commit {revision.commit}, {day_words(revision.date)}" if revision else "on main"


def _heading(comparison: Comparison) -> Iterator[tuple[str, str]]:
    for side in (comparison.after, comparison.before):
        if side.snapshot.settings.yard:
            yield "Yard", side.snapshot.settings.yard
            break
    yield "Model", _model_name(comparison)
    for words, side in (("Before", comparison.before), ("After", comparison.after)):
        yield words, f"{revision_words(side.revision)}, {_commit(side.revision)}"


def _model_name(comparison: Comparison) -> str:
    names = [_named(side, comparison.model) for side in (comparison.after, comparison.before)]
    name = next((name for name in names if name), None)
    return f"{name} ({comparison.model})" if name else comparison.model


def _named(side: Side, model: str) -> str | None:
    tree = side.snapshot.models.get(model)
    return tree.model.name if tree else None


def summary_lines(comparison: Comparison, changed: Sequence[ZoneImpact]) -> tuple[str, str, str]:
    """Three lines: what changes where, what it does to the craft, why and whether the minima hold."""
    what = f"{changed_words(comparison)}." if changed else "No zone changes."
    return what, _effect(comparison), _why(comparison, changed)


def _effect(comparison: Comparison) -> str:
    figures, craft = comparison.impact.craft.figures, comparison.craft
    said = [delta_words(k, figures.get(k), comparison.currency) for k in ("mass_kg", "vcg_m", "cost")]
    missed = [t.key for t in craft.targets if t.met is False] if craft else []
    if craft is None or not craft.targets:
        targets = "no targets recorded"
    else:
        targets = f"targets {NOT_MET}: {', '.join(missed)}" if missed else "all targets met"
    return f"Craft: {'; '.join(said)}; {targets}."


def _why(comparison: Comparison, changed: Sequence[ZoneImpact]) -> str:
    titles = [f"{r.change or 'no change record'} {r.title}" for r in comparison.reasons]
    why = "; ".join(titles) if titles else no_reason_words(comparison)
    figures = comparison.after.zones()
    standing = [figures[z.zone] for z in changed if z.zone in figures]
    broken = [z.zone for z in standing if any(r.met is False for r in z.required)]
    without = [z.zone for z in standing if not z.required]
    minima = (
        f"required minima {NOT_MET} in {', '.join(broken)}" if broken else "no required minimum is broken"
    )
    if over := [name for name, zone in figures.items() if zone.exceeded]:
        minima += f"; a use above 1 in {', '.join(over)}"
    if without:
        minima += f"; none recorded for {', '.join(without)}"
    return f"Why: {why}. In the changed zones {minima}."


def _reason(reason: Reason, shown: ChangeShown | None) -> ReasonView:
    return ReasonView(
        ("UNDONE: " if reason.undone else "") + (reason.change or "no change record"),
        reason.title,
        reason.reason,
        tuple(_facts(reason, shown)),
        tuple(answered_words(seen) for seen in reason.observations),
        tuple(change_sections(shown)) if shown else (),
    )


def _facts(reason: Reason, shown: ChangeShown | None) -> Iterator[tuple[str, str]]:
    if reason.category:
        yield "Category", reason.category
    if reason.proposed_by:
        yield "Proposed by", _person(reason.proposed_by)
    if reason.change:
        yield "Approved by", _person(reason.approved_by) if reason.approved_by else "not approved"
    if reason.outcome and shown is None:  # else it stands under a heading of its own
        yield "Verified", reason.outcome.replace("-", " ")
    if reason.commit:
        yield "Commit", f"{reason.commit}, {day_words(reason.date)}"


def _person(person: str) -> str:
    return person.split(" <")[0]


@dataclass(frozen=True, slots=True)
class TargetRow:
    """A target with the figure after the change."""

    words: str
    limit: str
    value: str
    verdict: str


@dataclass(frozen=True, slots=True)
class CraftPages:
    """Everything a dossier says of the craft."""

    condition: str
    figures: tuple[FigureRow, ...]
    targets: tuple[TargetRow, ...]
    causes: tuple[str, ...]
    parts: tuple[tuple[str, ...], ...]
    conditions: tuple[tuple[str, ...], ...]
    balance: tuple[str, ...]


def craft_pages(comparison: Comparison) -> CraftPages:
    """Totals, targets, causes, parts and balance."""
    craft, impact = comparison.craft, comparison.impact.craft
    return CraftPages(
        craft.condition if craft else "",
        figure_rows(impact.figures, as_read(CRAFT_KEYS), comparison.currency),
        tuple(_targets(comparison)),
        tuple(_causes(comparison)),
        tuple(_parts(comparison)),
        tuple(map(_condition, impact.conditions)),
        tuple(_balance(comparison)),
    )


def _targets(comparison: Comparison) -> Iterator[TargetRow]:
    for target in comparison.craft.targets if comparison.craft else ():
        key, _ = limit_words(target.key)
        yield TargetRow(
            words_for(key),
            limit_text(target, comparison.currency),
            held_words(target, comparison.currency)[0],
            verdict(target.met),
        )


def _causes(comparison: Comparison) -> Iterator[str]:
    impact = comparison.impact.craft
    if impact.causes_note:
        yield f"causes not told: {impact.causes_note}"
    for key, causes in (impact.causes or {}).items():
        delta = impact.figures[key].delta if key in impact.figures else None
        if delta:
            change = signed_quantity(key, delta, comparison.currency)
            yield f"{words_for(key)} {change} because of {cause_list(key, causes)}"


def _parts(comparison: Comparison) -> Iterator[tuple[str, ...]]:
    for part in comparison.impact.parts:
        rows = [part.figures[key] for key in PART_SHOWN]
        cells = [
            cell
            for key, d in zip(PART_SHOWN, rows, strict=True)
            for cell in (number(key, d.before), number(key, d.after), signed(key, d.delta))
        ]
        yield (part.part, *cells)


def _condition(condition: ConditionImpact) -> tuple[str, ...]:
    def both(key: str) -> str:
        delta = condition.figures[key]
        return f"{number(key, delta.before)} → {number(key, delta.after)}"

    mass = condition.figures["mass_kg"]
    centres = (f"{both(key)} ({signed(key, condition.figures[key].delta)})" for key in CENTRE_KEYS)
    fill = f"{condition.name} (fill {as_given(condition.fill)})"
    return (fill, both("mass_kg"), signed("mass_kg", mass.delta), *centres)


def _balance(comparison: Comparison) -> Iterator[str]:
    lines = list(balance_lines(comparison))
    yield from lines or ["no hydrostatics recorded, so sinkage, trim and heel are not told"]
    note = comparison.impact.craft.balance.note
    if note:
        yield note
