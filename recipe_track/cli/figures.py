"""`figures`: weight, stiffness, cost and centre at one revision, and closer looks at single zones."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from recipe_track.cli.options import Call, common_options, pass_call
from recipe_track.cli.output import (
    csv_option,
    emit,
    emit_csv,
    emit_json,
    emit_line,
    paper_option,
    refuse_two_forms,
    save,
)
from recipe_track.errors import CallError
from recipe_track.figures.craft import zone_cases
from recipe_track.recipe.rules.names import nearest

if TYPE_CHECKING:
    from rich.console import RenderableType

    from recipe_track.figures.cases import ZoneCase
    from recipe_track.figures.results import ZoneFigures
    from recipe_track.recipe.snapshot import Snapshot
    from recipe_track.workspace import Revision


@click.command()
@click.argument("zones", nargs=-1, metavar="[ZONE]…")
@click.option("--at", metavar="REV", help="A revision, release or label; default: the working files.")
@click.option("--layers", is_flag=True, help="What each layer of the zones named gives.")
@click.option("--working", is_flag=True, help="The derivation, to be redone by hand.")
@click.option("--markdown", is_flag=True, help="The derivation as Markdown.")
@click.option("--spread", is_flag=True, help="Standard deviations out of the tolerances of the materials.")
@click.option(
    "-o",
    "target",
    type=click.Path(path_type=Path),
    metavar="F.html",
    help="The derivation as a page to print.",
)
@paper_option
@csv_option
@common_options
@pass_call
def figures(
    call: Call, /, zones: tuple[str, ...], at: str | None, as_csv: bool, target: Path | None, paper: str,
    **looks: bool,
) -> int:  # fmt: skip
    """Weight, stiffness, cost and centre per zone, part and craft."""
    from recipe_track.figures.craft import figures_of
    from recipe_track.present.data.figures import figures_csv, figures_json
    from recipe_track.present.terminal.figures import figures_text
    from recipe_track.present.words.records import hold_line
    from recipe_track.recipe.states import holds_of_zone
    from recipe_track.review.change.minima import checked_states, with_holds_and_notes

    refuse_two_forms(call, as_csv)
    if target is not None and not looks["working"]:
        raise CallError("-o prints the derivation", "write --working -o F.html")
    with call.workspace() as ws:
        revision = ws.revision(at or ws.default_text(), ws.only_model(call.model))
        snapshot = ws.snapshot(revision)
        model = ws.model_of(call.model, snapshot)
        checked = checked_states(ws, snapshot, model)
        computed = with_holds_and_notes(figures_of(snapshot, model), snapshot, ws.current(), checked)
        chosen = _chosen(computed.zones, zones)
        held = [hold for zone in chosen for hold in holds_of_zone(ws.current(), model, zone.zone)]
    if target is not None:
        names = {zone.zone for zone in chosen}
        _save_working(target, paper, snapshot, model, revision, names)
    closer = closer_looks(snapshot, model, {zone.zone for zone in chosen}, looks)
    if call.json:
        extra = {name: look.json() for name, look in closer.items()}
        emit_json("figures", {**figures_json(computed, revision, chosen), **extra})
    elif as_csv:
        emit_csv(figures_csv(computed, chosen))
    elif target is not None:
        emit_line(str(target))
    elif closer:
        emit(*(() if looks["markdown"] else map(hold_line, held)))
        for look in closer.values():
            emit(*look.text(computed.currency))
    else:
        emit(*figures_text(computed, revision, chosen))
    return 0


def _chosen(zones: tuple[ZoneFigures, ...], wanted: tuple[str, ...]) -> tuple[ZoneFigures, ...]:
    known = [zone.zone for zone in zones]
    for name in wanted:
        if name not in known:
            raise CallError(f"there is no zone `{name}`", nearest(name, known))
    return tuple(zone for zone in zones if not wanted or zone.zone in wanted)


@dataclass(frozen=True, slots=True)
class Look:
    """A closer look, as JSON and, with the currency given, as text."""

    json: Callable[[], Any]
    text: Callable[[str | None], Iterable[RenderableType]]


def closer_looks(
    snapshot: Snapshot, model: str, names: Collection[str], asked: Mapping[str, bool]
) -> dict[str, Look]:
    """The looks asked for, by the name of their option."""
    cases = [case for case in zone_cases(snapshot, snapshot.models[model]) if case.name in names]
    looks: dict[str, Look] = {}
    if asked["layers"]:
        looks["layers"] = _layers(cases)
    if asked["working"] or asked["markdown"]:
        looks["working"] = _working(cases, asked["markdown"])
    if asked["spread"]:
        looks["spread"] = _spread(snapshot, model, names)
    return looks


def _layers(cases: list[ZoneCase]) -> Look:
    from recipe_track.figures.layers import layer_figures
    from recipe_track.present.data.figures import layers_json
    from recipe_track.present.terminal.figures import layers_text

    found = layer_figures(cases)
    return Look(lambda: layers_json(found), lambda currency: layers_text(found, currency))


def _working(cases: list[ZoneCase], markdown: bool) -> Look:
    from recipe_track.figures.working import working_of
    from recipe_track.present.data.values import plain_data
    from recipe_track.present.terminal.working import working_markdown, working_text

    sheets = [working_of(case) for case in cases]
    shown = working_markdown if markdown else working_text
    return Look(lambda: plain_data(sheets), lambda _: [shown(sheet) for sheet in sheets])


def _save_working(
    target: Path, paper: str, snapshot: Snapshot, model: str, revision: Revision, names: Collection[str]
) -> None:
    from recipe_track.figures.working import working_of
    from recipe_track.present.pages.working_page import Head, working_page

    tree = snapshot.models[model]
    dated = f" of {revision.date[:10]}" if revision.date else ""
    shown = revision.shown + (
        f" ({revision.commit[:10]}{dated})" if revision.commit else " files as they lie"
    )
    head = Head(snapshot.settings.yard or "", tree.model.name or model, shown)
    sheets = [working_of(case) for case in zone_cases(snapshot, tree) if case.name in names]
    save(target, working_page(sheets, head, paper))


def _spread(snapshot: Snapshot, model: str, names: Collection[str]) -> Look:
    from recipe_track.present.words.figures import uncertainty_lines
    from recipe_track.review.change.uncertainty import model_deviations

    found = model_deviations(snapshot, model)
    listed = {name: values for name, values in found.items() if name in names or "/" not in name}
    return Look(lambda: listed, lambda currency: uncertainty_lines(listed, currency))
