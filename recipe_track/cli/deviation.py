"""`deviation`: what was built, or is asked to be built, otherwise than the recipe says."""

from datetime import date

import click

from recipe_track.cli.options import Call, common_options, pass_call
from recipe_track.cli.output import csv_option, emit, emit_csv, emit_json, refuse_two_forms
from recipe_track.cli.writing import dry_run_option, on_option, show_done, zipped
from recipe_track.errors import CallError
from recipe_track.procedures.deviations import DeviationEntry, LayerEntry
from recipe_track.recipe.records import DECISIONS_ABOUT

ACTIONS = ("left-out", "added", "substituted")


@click.group()
def deviation() -> None:
    """Departures from the recipe: reported by anyone, decided by someone entitled."""


@deviation.command()
@click.argument("hull", metavar="H")
@click.option("--zone", required=True, metavar="Z", help="Zone, as part/zone.")
@click.option(
    "--type", "kind", required=True, type=click.Choice(["nonconformity", "deviation-permit"]),
    help="Found after, or asked before.",
)  # fmt: skip
@click.option("--text", required=True, metavar="T", help="What differs.")
@click.option("--line", "lines", multiple=True, type=int, metavar="N", help="Line of the layup, from 1.")
@click.option("--action", "actions", multiple=True, type=click.Choice(ACTIONS), help="One per --line.")
@click.option("--instead", multiple=True, metavar="M", help="Material, one per substituted line.")
@click.option("--plies", multiple=True, type=click.IntRange(1), metavar="K", help="Per line; default 1.")
@click.option("--added-material", multiple=True, metavar="M", help="Per added line; default: the line's own.")
@click.option("--area-fraction", type=click.FloatRange(0, 1, min_open=True), metavar="F")
@click.option("--note", metavar="N")
@on_option
@dry_run_option
@common_options
@pass_call
def report(
    call: Call, hull: str, zone: str, kind: str, text: str, lines: tuple[int, ...], actions: tuple[str, ...],
    instead: tuple[str, ...], plies: tuple[int, ...], added_material: tuple[str, ...],
    area_fraction: float | None, note: str | None, on: date, dry_run: bool,
) -> int:  # fmt: skip
    """Report a departure; its zone is on hold until it is decided."""
    from recipe_track.procedures.deviations import report_deviation

    layers = _layers(lines, actions, instead, plies, added_material)
    entry = DeviationEntry(hull, zone, kind, text, on, layers, area_fraction, note)
    with call.workspace() as ws:
        done = report_deviation(ws, entry, dry_run)
    return show_done(call, "deviation-report", done)


def _layers(
    lines: tuple[int, ...], actions: tuple[str, ...], instead: tuple[str, ...], plies: tuple[int, ...],
    added: tuple[str, ...],
) -> tuple[LayerEntry, ...]:  # fmt: skip
    pairs = zipped(lines, actions, "--line and --action")
    if len(plies) > len(pairs):
        raise CallError("--plies is given at most once per --line")
    substitutes, extras = list(instead), list(added)
    counts = (*plies, *(1 for _ in pairs[len(plies) :]))
    layers = []
    for (line, action), count in zip(pairs, counts, strict=True):
        other = substitutes.pop(0) if action == "substituted" and substitutes else None
        material = extras.pop(0) if action == "added" and extras else None
        layers.append(LayerEntry(line, action, other, material, count))
    if substitutes or extras:
        raise CallError("--instead goes with a substituted line, --added-material with an added one")
    return tuple(layers)


@deviation.command()
@click.argument("deviation_id", metavar="ID")
@click.option("--decision", required=True, type=click.Choice(DECISIONS_ABOUT["N"]))
@click.option("--note", metavar="N")
@click.option("--reverified", metavar="DOCUMENT", help="What covers required minima that it breaks.")
@click.option("--body", metavar="B", help="Who stands for that document.")
@on_option
@dry_run_option
@common_options
@pass_call
def decide(
    call: Call, deviation_id: str, decision: str, note: str | None, reverified: str | None,
    body: str | None, on: date, dry_run: bool,
) -> int:  # fmt: skip
    """Accept or refuse it; accepted, it prints as a concession or a deviation permit."""
    from recipe_track.cli.change import reverified_by
    from recipe_track.procedures.deviations import decide_deviation

    checked = reverified_by(reverified, body)
    with call.workspace() as ws:
        done = decide_deviation(ws, deviation_id, decision, note, on, dry_run, checked)
    return show_done(call, "deviation-decide", done)


@deviation.command("list")
@click.option("--open", "only_open", is_flag=True, help="Only those that wait for a decision.")
@click.option("--hull", metavar="H", help="Only this hull.")
@csv_option
@common_options
@pass_call
def list_(call: Call, only_open: bool, hull: str | None, as_csv: bool) -> int:
    """Departures with their state."""
    from recipe_track.present.data.hulls import deviations_json
    from recipe_track.present.terminal.hulls import deviations_text
    from recipe_track.present.words.plain import hanging
    from recipe_track.review.hull.zones import deviation_rows

    refuse_two_forms(call, as_csv)
    with call.workspace() as ws:
        rows = deviation_rows(ws.current(), hull)
    chosen = tuple(row for row in rows if not only_open or row.state == "reported")
    if call.json:
        emit_json("deviation-list", deviations_json(chosen))
    elif as_csv:
        from recipe_track.present.data.csv import deviations_csv

        emit_csv(deviations_csv(chosen))
    else:
        emit(*hanging(deviations_text(chosen)))
    return 0
