"""`history`: revisions with reasons and the figures' course."""

import click

from recipe_track.cli.options import Call, common_options, pass_call
from recipe_track.cli.output import emit, emit_json


@click.command()
@click.argument("zone", required=False)
@common_options
@pass_call
def history(call: Call, zone: str | None) -> int:
    """Revisions with reasons and the course of mass, centre and cost; of a zone also its stiffness."""
    from recipe_track.present.history import history_json, history_text
    from recipe_track.procedures.course import course_of

    with call.workspace() as ws:
        course = course_of(ws, call.model, zone)
    if call.json:
        emit_json("history", history_json(course))
    else:
        emit(*history_text(course))
    return 0
