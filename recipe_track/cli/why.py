"""`why`: each layer of a zone: since when, by which change, for what reason."""

import click

from recipe_track.cli.options import Call, common_options, pass_call
from recipe_track.cli.output import emit, emit_json


@click.command()
@click.argument("zone")
@click.option("--at", metavar="REV", help="A revision instead of main.")
@click.option("--hull", metavar="H", help="As built for this hull.")
@click.option("--line", type=click.IntRange(1), metavar="N", help="Only this line of the layup.")
@common_options
@pass_call
def why(call: Call, zone: str, at: str | None, hull: str | None, line: int | None) -> int:
    """Each layer: since when, by which change, why, on what evidence, approved by whom, and did it work."""
    from recipe_track.present.lines import hanging
    from recipe_track.present.why import why_json, why_text
    from recipe_track.procedures.why import why_zone

    with call.workspace() as ws:
        story = why_zone(ws, zone, call.model, at=at, hull=hull, line=line)
    if call.json:
        emit_json("why", why_json(story))
    else:
        emit(*hanging(why_text(story)))
    return 0
