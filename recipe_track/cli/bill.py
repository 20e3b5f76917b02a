"""`bill`: what to buy for a model or a part, and what another revision takes more or less."""

import click

from recipe_track.cli.options import Call, common_options, pass_call
from recipe_track.cli.output import emit, emit_json
from recipe_track.cli.tables import csv_option, emit_csv, refuse_two_forms


@click.command()
@click.argument("of", metavar="MODEL|PART")
@click.option("--at", metavar="REV", help="A revision, release or label; default: the working files.")
@click.option("--against", metavar="REV", help="Show the difference to this revision.")
@csv_option
@common_options
@pass_call
def bill(call: Call, of: str, at: str | None, against: str | None, as_csv: bool) -> int:
    """Materials with built-in and bought quantity, boards, roll lengths and cost."""
    from recipe_track.present.bill import bill_csv, bill_json, bill_text
    from recipe_track.procedures.bill import bill_of

    refuse_two_forms(call, as_csv)
    with call.workspace() as ws:
        made = bill_of(ws, of, call.model, at, against)
    if call.json:
        emit_json("bill", bill_json(made))
    elif as_csv:
        emit_csv(bill_csv(made))
    else:
        emit(*bill_text(made))
    return 0
