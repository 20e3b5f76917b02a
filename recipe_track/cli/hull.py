"""`hull`: started to a release, part by part, weighed, and shown as built."""

from typing import Any, get_args

import click

from recipe_track.cli.options import Call, common_options, pass_call
from recipe_track.cli.output import csv_option, emit, emit_csv, emit_json, refuse_two_forms
from recipe_track.cli.writing import do_meant, dry_run_option, is_asking, meant_option, on_option, show_done
from recipe_track.recipe.hulls import HULL_STATES, PART_STATES
from recipe_track.recipe.records import Weighing

WEIGHED_AS = get_args(Weighing.model_fields["state"].annotation)


@click.group()
def hull() -> None:
    """Hulls: what each part was built to, step by step, and what it weighs."""


@hull.command()
@click.argument("number", metavar="H")
@click.option("--revision", required=True, metavar="R", help="The release it is built to, as r7.")
@click.option("--customer", metavar="C", help="The customer's reference.")
@click.option("--state", type=click.Choice(HULL_STATES), help="How far the whole hull is, if not planned.")
@click.option("--was", metavar="OLD", help="The number it had before; either number finds both.")
@click.option("--note", metavar="N")
@on_option
@dry_run_option
@common_options
@pass_call
def add(call: Call, /, dry_run: bool, **given: Any) -> int:
    """Plan a hull: every part of the model to one release."""
    from recipe_track.procedures.building import HullEntry, add_hull

    with call.workspace() as ws:
        chosen = ws.model_of(call.model, ws.current())
        done = add_hull(ws, HullEntry(model=chosen, **given), dry_run)
    return show_done(call, "hull-add", done)


@hull.command()
@click.argument("hull", metavar="H")
@click.option("--part", required=True, metavar="P")
@click.option("--state", required=True, type=click.Choice(PART_STATES))
@click.option("--revision", metavar="R", help="The release it is built to; left out, it stays.")
@click.option("--done", multiple=True, metavar="C-…", help="A change carried out on the built part.")
@click.option("--from", "from_hull", metavar="HULL", help="The hull that the part comes from.")
@click.option("--note", metavar="N", help="What happened; asked for where a step goes back.")
@meant_option
@on_option
@dry_run_option
@common_options
@pass_call
def part(call: Call, /, dry_run: bool, **given: Any) -> int:
    """Move a part of a hull on; what was before stays on record."""
    from recipe_track.procedures.building import StepEntry, move_part

    with call.workspace() as ws:
        done = do_meant(given, lambda said: move_part(ws, StepEntry(**said), dry_run), asks=is_asking(call))
    return show_done(call, "hull-part", done)


@hull.command()
@click.argument("hull", metavar="H")
@click.option("--state", required=True, type=click.Choice(HULL_STATES))
@click.option("--note", metavar="N", help="What happened; asked for where a step goes back.")
@meant_option
@on_option
@dry_run_option
@common_options
@pass_call
def state(call: Call, /, dry_run: bool, **given: Any) -> int:
    """Say how far the whole hull is."""
    from recipe_track.procedures.building import StepEntry, move_hull

    with call.workspace() as ws:
        done = do_meant(given, lambda said: move_hull(ws, StepEntry(**said), dry_run), asks=is_asking(call))
    return show_done(call, "hull-state", done)


@hull.command()
@click.argument("hull", metavar="H")
@click.option("--part", required=True, metavar="P", help="The part, or craft.")
@click.option("--mass-kg", required=True, type=float, metavar="X", help="What the scales said.")
@click.option("--state", required=True, type=click.Choice(WEIGHED_AS))
@click.option("--tare-kg", type=float, metavar="T", help="Slings and cradle in it.")
@click.option("--uncertainty-kg", type=float, metavar="U")
@click.option("--includes", metavar="I", help="What else was on the scales, in words.")
@click.option("--note", metavar="N")
@meant_option
@on_option
@dry_run_option
@common_options
@pass_call
def weigh(call: Call, /, dry_run: bool, **given: Any) -> int:
    """Record a weighing of a part or of the craft."""
    from recipe_track.procedures.building import WeighingEntry
    from recipe_track.procedures.building import weigh as put_weighing

    with call.workspace() as ws:
        done = do_meant(
            given, lambda said: put_weighing(ws, WeighingEntry(**said), dry_run), asks=is_asking(call)
        )
    return show_done(call, "hull-weigh", done)


@hull.command("list")
@csv_option
@common_options
@pass_call
def list_(call: Call, as_csv: bool) -> int:
    """The fleet at a glance."""
    from recipe_track.review.hull.overview import hull_rows

    refuse_two_forms(call, as_csv)
    with call.workspace() as ws:
        rows = hull_rows(ws.current(), call.model)
    if call.json:
        from recipe_track.present.data.hulls import fleet_json

        emit_json("hull-list", fleet_json(rows))
    elif as_csv:
        from recipe_track.present.data.csv import fleet_csv

        emit_csv(fleet_csv(rows))
    else:
        from recipe_track.present.terminal.hulls import fleet_text

        emit(*fleet_text(rows))
    return 0


@hull.command()
@click.argument("number", metavar="H")
@click.option("--layups", is_flag=True, help="The layup of every zone, too.")
@common_options
@pass_call
def show(call: Call, number: str, layups: bool) -> int:
    """One hull: holds and what stands open first, then steps, deviations and weighings."""
    from recipe_track.present.data.hulls import hull_json
    from recipe_track.present.terminal.hulls import hull_text
    from recipe_track.present.words.plain import hanging
    from recipe_track.review.hull.as_built import fetch_hulls, hull_record
    from recipe_track.review.hull.weighings import weighed

    with call.workspace() as ws:
        sources = fetch_hulls(ws, ws.current())
        record, weighings = hull_record(sources, number), weighed(sources, number)
    if call.json:
        emit_json("hull-show", hull_json(record, weighings))
    else:
        emit(*hanging(hull_text(record, weighings, layups)))
    return 0
