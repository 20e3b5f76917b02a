"""What was, and why: `history`, `why`, `audit`."""

import click

from recipe_track.cli.options import Call, common_options, pass_call
from recipe_track.cli.output import csv_option, emit, emit_csv, emit_json, refuse_two_forms


@click.command()
@click.argument("named", metavar="[MODEL]", required=False)
@click.option("--as-of", metavar="REV|DAY", help="As things stood at a revision of main, or on a day.")
@click.option("--all", "with_answered", is_flag=True, help="Those that are answered, too.")
@csv_option
@common_options
@pass_call
def audit(call: Call, named: str | None, as_of: str | None, with_answered: bool, as_csv: bool) -> int:
    """A records audit: every finding with what to do; exit status 1 if there is any. It inspects no hull."""
    from recipe_track.history.seen import note_seen
    from recipe_track.review.audit import audit_records

    refuse_two_forms(call, as_csv)
    with call.workspace() as ws:
        result = audit_records(ws, named or call.model, as_of)
        if as_of is None:
            note_seen(ws.repo, ws.tip())
    if call.json:
        from recipe_track.present.data.records import audit_json

        emit_json("audit", audit_json(result))
    elif as_csv:
        from recipe_track.present.data.csv import findings_csv

        emit_csv(findings_csv(result))
    else:
        from recipe_track.present.terminal.audit import audit_text
        from recipe_track.present.words.plain import hanging

        emit(*hanging(audit_text(result, with_answered)))
    return 1 if result.findings else 0


@click.command()
@click.argument("zone", required=False)
@csv_option
@common_options
@pass_call
def history(call: Call, zone: str | None, as_csv: bool) -> int:
    """Revisions with reasons and the course of mass, centre and cost; of a zone also its stiffness."""
    from recipe_track.review.past.course import course_of

    refuse_two_forms(call, as_csv)
    with call.workspace() as ws:
        course = course_of(ws, call.model, zone)
    if call.json:
        from recipe_track.present.data.history import history_json

        emit_json("history", history_json(course))
    elif as_csv:
        from recipe_track.present.data.history import history_csv

        emit_csv(history_csv(course))
    else:
        from recipe_track.present.terminal.history import history_text

        emit(*history_text(course))
    return 0


@click.command()
@click.argument("zone")
@click.option("--at", metavar="REV", help="A revision instead of main.")
@click.option("--hull", metavar="H", help="As built for this hull.")
@click.option("--line", type=click.IntRange(1), metavar="N", help="Only this line of the layup.")
@common_options
@pass_call
def why(call: Call, zone: str, at: str | None, hull: str | None, line: int | None) -> int:
    """Each layer: since when, by which change, why, on what evidence, approved by whom, and did it work."""
    from recipe_track.review.past.why import why_zone

    with call.workspace() as ws:
        story = why_zone(ws, zone, call.model, at=at, hull=hull, line=line)
    if call.json:
        from recipe_track.present.data.history import why_json

        emit_json("why", why_json(story))
    else:
        from recipe_track.present.terminal.history import why_text
        from recipe_track.present.words.plain import hanging

        emit(*hanging(why_text(story)))
    return 0
