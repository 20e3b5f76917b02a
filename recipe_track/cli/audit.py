"""`audit`: whether the records are in order."""

import click

from recipe_track.cli.options import Call, common_options, pass_call
from recipe_track.cli.output import emit, emit_json
from recipe_track.cli.tables import csv_option, emit_csv, refuse_two_forms


@click.command()
@click.argument("named", metavar="[MODEL]", required=False)
@click.option("--as-of", metavar="REV", help="As things stood at a revision of main.")
@csv_option
@common_options
@pass_call
def audit(call: Call, named: str | None, as_of: str | None, as_csv: bool) -> int:
    """A records audit: every finding with what to do; exit status 1 if there is any. It inspects no hull."""
    from recipe_track.present.audit import audit_json, audit_text
    from recipe_track.present.lines import hanging
    from recipe_track.procedures.audit import audit_records

    refuse_two_forms(call, as_csv)
    with call.workspace() as ws:
        result = audit_records(ws, named or call.model, as_of)
    if call.json:
        emit_json("audit", audit_json(result))
    elif as_csv:
        from recipe_track.present.lists import findings_csv

        emit_csv(findings_csv(result))
    else:
        emit(*hanging(audit_text(result)))
    return 1 if result.findings else 0
