"""`action` and `record`: what was done about something, and records put right by new ones."""

from datetime import date
from typing import Any

import click

from recipe_track.cli.options import Call, common_options, pass_call
from recipe_track.cli.writing import do_meant, dry_run_option, is_asking, meant_option, on_option, show_done
from recipe_track.errors import CallError


@click.group()
def action() -> None:
    """What was done about a nonconformity, an observation, a hull action or a finding."""


@action.command("record")
@click.argument("about", metavar="ABOUT")
@click.option("--cause", metavar="C", default="", help="What it came from; required.")
@click.option("--done", metavar="D", default="", help="What was done about it; required.")
@click.option("--evidence", metavar="E", help="What shows that it was.")
@click.option("--document", metavar="DOC", help="A document that stands for it.")
@click.option("--body", metavar="B", help="Who stands for that document.")
@click.option("--note", metavar="N")
@on_option
@dry_run_option
@common_options
@pass_call
def record_(call: Call, /, dry_run: bool, **given: Any) -> int:
    """Record it against ABOUT: an id (N-…, T-…, C-…) or the name of a finding as `audit` prints it."""
    from recipe_track.procedures.actions import ActionEntry, record_action

    with call.workspace() as ws:
        done = record_action(ws, ActionEntry(**given), dry_run)
    return show_done(call, "action-record", done)


@click.group()
def record() -> None:
    """Records put right: corrected by a new one, or confirmed by the person they name."""


@record.command()
@click.argument("record_id", metavar="ID")
@click.option("--set", "changes", multiple=True, metavar="KEY=VALUE", help="What it should have said.")
@click.option("--note", metavar="N", default="", help="Why; required.")
@meant_option
@click.option("--on", type=click.DateTime(["%Y-%m-%d"]), help="The day it is of, if that was wrong.")
@dry_run_option
@common_options
@pass_call
def correct(
    call: Call, /, record_id: str, changes: tuple[str, ...], on: Any, dry_run: bool, **given: Any
) -> int:
    """Write the record that replaces ID, with all it said but for what is set."""
    from recipe_track.procedures.corrections import correct_record

    values = dict(_change(text) for text in changes)
    with call.workspace() as ws:
        day = on.date() if on else None
        done = do_meant(
            given,
            lambda said: correct_record(ws, record_id, values, on=day, dry_run=dry_run, **said),
            asks=is_asking(call),
        )
    return show_done(call, "record-correct", done)


def _change(text: str) -> tuple[str, str]:
    key, equals, value = text.partition("=")
    if not equals or not key:
        raise CallError(f"`{text}` sets nothing", "write it as --set mass_kg=379.0")
    return key, value


@record.command()
@click.argument("record_ids", metavar="ID…", nargs=-1, required=True)
@on_option
@dry_run_option
@common_options
@pass_call
def confirm(call: Call, record_ids: tuple[str, ...], on: date, dry_run: bool) -> int:
    """Confirm that records which someone else brought are as you wrote them."""
    from recipe_track.procedures.corrections import confirm_records

    with call.workspace() as ws:
        done = confirm_records(ws, record_ids, on, dry_run)
    return show_done(call, "record-confirm", done)
