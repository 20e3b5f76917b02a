"""`history`: revisions with reasons and the figures' course."""

import click

from recipe_track.cli.options import Call, common_options, pass_call
from recipe_track.cli.output import emit, emit_json
from recipe_track.cli.tables import csv_option, emit_csv, refuse_two_forms


@click.command()
@click.argument("zone", required=False)
@csv_option
@common_options
@pass_call
def history(call: Call, zone: str | None, as_csv: bool) -> int:
    """Revisions with reasons and the course of mass, centre and cost; of a zone also its stiffness."""
    from recipe_track.present.history import history_json, history_text
    from recipe_track.procedures.course import course_of

    refuse_two_forms(call, as_csv)
    with call.workspace() as ws:
        course = course_of(ws, call.model, zone)
    if call.json:
        emit_json("history", history_json(course))
    elif as_csv:
        from recipe_track.present.tables import history_csv

        emit_csv(history_csv(course))
    else:
        emit(*history_text(course))
    return 0
