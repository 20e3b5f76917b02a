"""What was, and why: `history`, `why`, `audit`."""

from typing import TYPE_CHECKING

import click

from recipe_track.cli.keeping import Answer, answered
from recipe_track.cli.options import Call, common_options, pass_call
from recipe_track.cli.output import csv_option, form_of, json_text, people_text, refuse_two_forms

if TYPE_CHECKING:
    from recipe_track.review.audit import Audit
    from recipe_track.review.past.course import Course
    from recipe_track.review.past.why import ZoneStory
    from recipe_track.workspace import Workspace


@click.command()
@click.argument("named", metavar="[MODEL]", required=False)
@click.option("--as-of", metavar="REV|DAY", help="As things stood at a revision of main, or on a day.")
@click.option("--all", "with_answered", is_flag=True, help="Those that are answered, too.")
@csv_option
@common_options
@pass_call
def audit(call: Call, named: str | None, as_of: str | None, with_answered: bool, as_csv: bool) -> int:
    """A records audit: every finding with what to do; exit status 1 if there is any. It inspects no hull."""
    refuse_two_forms(call, as_csv)
    form = form_of(call, as_csv)

    def made(ws: "Workspace") -> Answer:
        from recipe_track.history.seen import note_seen
        from recipe_track.review.audit import audit_records

        result = audit_records(ws, named or call.model, as_of)
        if as_of is None:
            note_seen(ws.repo, ws.tip())
        return Answer(
            _audit_text(result, form, with_answered), 1 if result.findings else 0, not result.notices
        )

    return answered(call, ("audit", named, as_of, with_answered), form, made)


def _audit_text(result: "Audit", form: str, with_answered: bool) -> str:
    if form == "json":
        from recipe_track.present.data.records import audit_json

        return json_text("audit", audit_json(result))
    if form == "csv":
        from recipe_track.present.data.csv import findings_csv

        return findings_csv(result)
    from recipe_track.present.terminal.audit import audit_text
    from recipe_track.present.words.plain import hanging

    return people_text(*hanging(audit_text(result, with_answered)))


@click.command()
@click.argument("zone", required=False)
@csv_option
@common_options
@pass_call
def history(call: Call, zone: str | None, as_csv: bool) -> int:
    """Revisions with reasons and the course of mass, centre and cost; of a zone also its stiffness."""
    refuse_two_forms(call, as_csv)
    form = form_of(call, as_csv)

    def made(ws: "Workspace") -> Answer:
        from recipe_track.review.past.course import course_of

        return Answer(_history_text(course_of(ws, call.model, zone), form))

    return answered(call, ("history", zone), form, made)


def _history_text(course: "Course", form: str) -> str:
    if form == "json":
        from recipe_track.present.data.history import history_json

        return json_text("history", history_json(course))
    if form == "csv":
        from recipe_track.present.data.history import history_csv

        return history_csv(course)
    from recipe_track.present.terminal.history import history_text

    return people_text(*history_text(course))


@click.command()
@click.argument("zone")
@click.option("--at", metavar="REV", help="A revision instead of main.")
@click.option("--hull", metavar="H", help="As built for this hull.")
@click.option("--line", type=click.IntRange(1), metavar="N", help="Only this line of the layup.")
@common_options
@pass_call
def why(call: Call, zone: str, at: str | None, hull: str | None, line: int | None) -> int:
    """Each layer: since when, by which change, why, on what evidence, approved by whom, and did it work."""
    form = form_of(call)

    def made(ws: "Workspace") -> Answer:
        from recipe_track.review.past.why import why_zone

        return Answer(_why_text(why_zone(ws, zone, call.model, at=at, hull=hull, line=line), form))

    return answered(call, ("why", zone, at, hull, line), form, made)


def _why_text(story: "ZoneStory", form: str) -> str:
    if form == "json":
        from recipe_track.present.data.history import why_json

        return json_text("why", why_json(story))
    from recipe_track.present.terminal.history import why_text
    from recipe_track.present.words.plain import hanging

    return people_text(*hanging(why_text(story)))
