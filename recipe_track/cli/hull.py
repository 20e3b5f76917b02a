"""`hull`: started to a release, part by part, weighed, and shown as built."""

from datetime import date
from typing import Any, get_args

import click

from recipe_track.cli.options import Call, common_options, pass_call
from recipe_track.cli.output import csv_option, emit, emit_csv, emit_json, refuse_two_forms
from recipe_track.cli.writing import dry_run_option, on_option, show_done
from recipe_track.recipe.craft import Hull, HullPart
from recipe_track.recipe.records import Weighing

STATUSES = get_args(Hull.model_fields["status"].annotation)
STATES = get_args(HullPart.model_fields["state"].annotation)
WEIGHED_AS = get_args(Weighing.model_fields["state"].annotation)


@click.group()
def hull() -> None:
    """Hulls: what each part was built to, and what it weighs."""


@hull.command()
@click.argument("number", metavar="H")
@click.option("--revision", required=True, metavar="R", help="The release it is built to, as r7.")
@click.option("--status", type=click.Choice(STATUSES), default="planned", show_default=True)
@on_option
@dry_run_option
@common_options
@pass_call
def add(call: Call, number: str, revision: str, status: str, on: date, dry_run: bool) -> int:
    """Plan a hull: every part of the model to one release."""
    from recipe_track.procedures.hulls import add_hull

    with call.workspace() as ws:
        chosen = ws.model_of(call.model, ws.current())
        done = add_hull(ws, number, chosen, revision, status, on, dry_run)
    return show_done(call, "hull-add", done)


@hull.command()
@click.argument("number", metavar="H")
@click.option("--part", required=True, metavar="P")
@click.option("--revision", metavar="R", help="The release it is built to; left out, it stays.")
@click.option("--state", required=True, type=click.Choice(STATES))
@on_option
@dry_run_option
@common_options
@pass_call
def part(
    call: Call, number: str, part: str, revision: str | None, state: str, on: date, dry_run: bool
) -> int:
    """Move a part of a hull on."""
    from recipe_track.procedures.hulls import set_part

    with call.workspace() as ws:
        done = set_part(ws, number, part, revision, state, on, dry_run)
    return show_done(call, "hull-part", done)


@hull.command()
@click.argument("number", metavar="H")
@click.argument("status", type=click.Choice(STATUSES))
@dry_run_option
@common_options
@pass_call
def status(call: Call, number: str, status: str, dry_run: bool) -> int:
    """Say how far the whole hull is."""
    from recipe_track.procedures.hulls import set_status

    with call.workspace() as ws:
        done = set_status(ws, number, status, dry_run)
    return show_done(call, "hull-status", done)


@hull.command()
@click.argument("hull", metavar="H")
@click.option("--part", required=True, metavar="P", help="The part, or craft.")
@click.option("--mass-kg", required=True, type=float, metavar="X", help="What the scales said.")
@click.option("--state", required=True, type=click.Choice(WEIGHED_AS))
@click.option("--tare-kg", type=float, metavar="T", help="Slings and cradle in it.")
@click.option("--uncertainty-kg", type=float, metavar="U")
@click.option("--includes", metavar="I", help="What else was on the scales, in words.")
@click.option("--note", metavar="N")
@on_option
@dry_run_option
@common_options
@pass_call
def weigh(call: Call, /, dry_run: bool, **given: Any) -> int:
    """Record a weighing of a part or of the craft."""
    from recipe_track.procedures.hulls import WeighingEntry
    from recipe_track.procedures.hulls import weigh as put_weighing

    with call.workspace() as ws:
        done = put_weighing(ws, WeighingEntry(**given), dry_run)
    return show_done(call, "hull-weigh", done)


@hull.command("list")
@csv_option
@common_options
@pass_call
def list_(call: Call, as_csv: bool) -> int:
    """The fleet at a glance."""
    from recipe_track.present.data.hulls import fleet_json
    from recipe_track.present.terminal.hulls import fleet_text
    from recipe_track.review.hull.overview import hull_rows

    refuse_two_forms(call, as_csv)
    with call.workspace() as ws:
        rows = hull_rows(ws.current(), call.model)
    if call.json:
        emit_json("hull-list", fleet_json(rows))
    elif as_csv:
        from recipe_track.present.data.csv import fleet_csv

        emit_csv(fleet_csv(rows))
    else:
        emit(*fleet_text(rows))
    return 0


@hull.command()
@click.argument("number", metavar="H")
@common_options
@pass_call
def show(call: Call, number: str) -> int:
    """The as-built record of a hull."""
    from recipe_track.present.data.hulls import hull_json
    from recipe_track.present.terminal.hulls import hull_text
    from recipe_track.present.words.plain import hanging
    from recipe_track.review.hull.as_built import hull_record
    from recipe_track.review.hull.weighings import weighed

    with call.workspace() as ws:
        current = ws.current()
        record = hull_record(ws, current, number)
        weighings = weighed(ws, current, number)
    if call.json:
        emit_json("hull-show", hull_json(record, weighings))
    else:
        emit(*hanging(hull_text(record, weighings)))
    return 0
