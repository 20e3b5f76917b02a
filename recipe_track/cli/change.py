"""`change`: proposed with a reason, approved or rejected by someone else, verified on a hull; `release`."""

from datetime import date
from typing import TYPE_CHECKING, Any, get_args

import click

from recipe_track.cli.options import Call, common_options, pass_call
from recipe_track.cli.output import csv_option, emit, emit_csv, emit_json, refuse_two_forms
from recipe_track.cli.writing import do_meant, dry_run_option, is_asking, meant_option, on_option, show_done
from recipe_track.errors import CallError
from recipe_track.recipe.records import Category, HullAction, HullActionKind

if TYPE_CHECKING:
    from recipe_track.procedures.deciding import Reverified

ACTIONS = get_args(HullActionKind)


@click.group()
def change() -> None:
    """Changes of a recipe: why, decided by whom, and whether they worked."""


@change.command()
@click.option("--title", metavar="T", default="", help="What is changed, in a few words.")
@click.option("--reason", metavar="R", default="", help="Why; required.")
@click.option("--category", required=True, type=click.Choice(get_args(Category)))
@click.option("--trial", "trials", multiple=True, metavar="ID", help="An observation that this answers.")
@click.option(
    "--answers", multiple=True, metavar="ID", help="A deviation, or a verification that did not confirm."
)
@click.option("--replaces", metavar="C-…", help="The proposal that this one takes the place of.")
@click.option(
    "--landed", multiple=True, metavar="COMMIT", help="What is on main already, explained afterwards."
)
@click.option("--considered", metavar="C", help="What else was weighed.")
@click.option("--note", metavar="N")
@click.option("--approve", is_flag=True, help="Approve in one step, where the settings let the proposer.")
@click.option("--reverified", metavar="DOCUMENT", help="With --approve: what covers the required minima.")
@click.option("--body", metavar="B", help="Who stands for that document.")
@on_option
@dry_run_option
@common_options
@pass_call
def propose(
    call: Call, /, landed: tuple[str, ...], approve: bool, reverified: str | None, body: str | None,
    on: date, dry_run: bool, **said: Any,
) -> int:  # fmt: skip
    """Put the edits of models, materials, prices and settings on a branch of their own, with their reason."""
    from recipe_track.procedures.deciding import DecisionEntry, propose_and_approve
    from recipe_track.procedures.proposing import ChangeEntry, propose_change, propose_landed

    entry = ChangeEntry(on=on, model=call.model, **said)
    checked = reverified_by(reverified, body)
    if landed and approve:
        raise CallError("--landed explains what is on main; it is decided by `change approve`")
    if checked and not approve:
        raise CallError("--reverified goes with --approve, or with `change approve`")
    with call.workspace() as ws:
        if landed:
            done = propose_landed(ws, entry, landed, dry_run)
        elif approve:
            done = propose_and_approve(ws, entry, DecisionEntry(on, None, checked), dry_run)
        else:
            done = propose_change(ws, entry, dry_run)
    return show_done(call, "change-propose", done)


def reverified_by(document: str | None, body: str | None) -> "Reverified | None":
    """The document and who stands for it, which go together."""
    if (document is None) != (body is None):
        raise CallError("--reverified DOCUMENT and --body B go together")
    from recipe_track.procedures.deciding import Reverified

    return Reverified(document, body) if document is not None and body is not None else None


@change.command()
@click.argument("change_id", metavar="ID")
@click.option("--note", metavar="N")
@click.option("--reverified", metavar="DOCUMENT", help="What covers broken or re-based required minima.")
@click.option("--body", metavar="B", help="Who stands for that document.")
@click.option(
    "--hull-action", "actions", multiple=True, metavar="HULL:PART=ACTION",
    help=f"What happens on a hull already built: {', '.join(ACTIONS)}.",
)  # fmt: skip
@on_option
@dry_run_option
@common_options
@pass_call
def approve(
    call: Call, change_id: str, note: str | None, reverified: str | None, body: str | None,
    actions: tuple[str, ...], on: date, dry_run: bool,
) -> int:  # fmt: skip
    """Merge a proposal into main, as one step with the decision."""
    from recipe_track.procedures.deciding import DecisionEntry, approve_change

    planned = tuple(_hull_action(text) for text in actions)
    entry = DecisionEntry(on, note, reverified_by(reverified, body), planned)
    with call.workspace() as ws:
        done = approve_change(ws, change_id, entry, dry_run)
    return show_done(call, "change-approve", done)


def _hull_action(text: str) -> HullAction:
    place, _, action = text.partition("=")
    hull, _, part = place.partition(":")
    if not hull or not part or action not in ACTIONS:
        raise CallError(
            f"`{text}` is not a hull action", f"write it as 014:deck=as-is; one of {', '.join(ACTIONS)}"
        )
    return HullAction.model_validate({"hull": hull, "part": part, "action": action})


@change.command()
@click.argument("change_id", metavar="ID")
@click.option("--note", metavar="N", default="", help="Why; required.")
@on_option
@dry_run_option
@common_options
@pass_call
def reject(call: Call, change_id: str, note: str, on: date, dry_run: bool) -> int:
    """Keep the proposal and the decision on record; the recipe stays as it is."""
    from recipe_track.procedures.deciding import reject_change

    with call.workspace() as ws:
        done = reject_change(ws, change_id, note, on, dry_run)
    return show_done(call, "change-reject", done)


@change.command()
@click.argument("change_id", metavar="ID")
@click.option("--hull", required=True, metavar="H", help="The hull it was verified on.")
@click.option("--outcome", required=True, type=click.Choice(["confirmed", "not-confirmed"]))
@click.option("--trial", metavar="ID", help="The observation that shows it.")
@click.option("--note", metavar="N")
@meant_option
@on_option
@dry_run_option
@common_options
@pass_call
def verify(call: Call, /, dry_run: bool, **given: Any) -> int:
    """Say whether an approved change did what it was meant to do."""
    from recipe_track.procedures.verifying import verify_change

    with call.workspace() as ws:
        done = do_meant(given, lambda said: verify_change(ws, dry_run=dry_run, **said), asks=is_asking(call))
    return show_done(call, "change-verify", done)


@change.command("list")
@click.option("--open", "only_open", is_flag=True, help="Only those that wait for a decision.")
@csv_option
@common_options
@pass_call
def list_(call: Call, only_open: bool, as_csv: bool) -> int:
    """Every change with its state; those that wait for a decision first."""
    from recipe_track.review.change.register import change_rows

    refuse_two_forms(call, as_csv)
    with call.workspace() as ws:
        rows = change_rows(ws, ws.current())
    chosen = tuple(
        row
        for row in rows
        if (not only_open or row.state == "proposed") and call.model in (None, row.change.model)
    )
    if call.json:
        from recipe_track.present.data.records import changes_json

        emit_json("change-list", changes_json(chosen))
    elif as_csv:
        from recipe_track.present.data.csv import changes_csv

        emit_csv(changes_csv(chosen))
    else:
        from recipe_track.present.terminal.records import changes_text

        emit(*changes_text(chosen))
    return 0


@change.command()
@click.argument("change_id", metavar="ID")
@common_options
@pass_call
def show(call: Call, change_id: str) -> int:
    """One change: its reason, its effect computed again, who decided, where it is built in."""
    from recipe_track.present.data.records import change_json
    from recipe_track.present.terminal.records import change_text
    from recipe_track.present.words.plain import hanging
    from recipe_track.review.change.register import change_shown

    with call.workspace() as ws:
        shown = change_shown(ws, ws.current(), change_id)
    if call.json:
        emit_json("change-show", change_json(shown))
    else:
        emit(*hanging(change_text(shown)))
    return 0


@click.command()
@click.argument("named", metavar="MODEL")
@click.option("--from-hull", metavar="H", help="The first hull it is for.")
@dry_run_option
@common_options
@pass_call
def release(call: Call, named: str, from_hull: str | None, dry_run: bool) -> int:
    """Tag main as the next release of MODEL; refused with problems, holds or uncovered minima."""
    from recipe_track.procedures.releases import release_model

    with call.workspace() as ws:
        done = release_model(ws, named, from_hull, dry_run)
    return show_done(call, "release", done)
