"""`compare`: what a change does, layer by layer and figure by figure, and why it was made."""

import click

from recipe_track.cli.options import Call, common_options, pass_call
from recipe_track.cli.output import emit, emit_json
from recipe_track.cli.tables import csv_option, emit_csv, emit_text, refuse_two_forms


@click.command()
@click.argument("before", required=False)
@click.argument("after", required=False)
@click.option(
    "--format", "form", type=click.Choice(["text", "markdown"]), default="text", show_default=True,
    help="Markdown is a short form for a code-review comment.",
)  # fmt: skip
@csv_option
@common_options
@pass_call
def compare(call: Call, before: str | None, after: str | None, form: str, as_csv: bool) -> int:
    """Change impact; default: last release → working files. One argument is BEFORE."""
    from recipe_track.present.compare import compare_json, compare_text
    from recipe_track.procedures.comparison import compare as compare_revisions

    refuse_two_forms(call, as_csv)
    with call.workspace() as ws:
        comparison = compare_revisions(ws, before, after, call.model)
    if call.json:
        emit_json("compare", compare_json(comparison))
    elif as_csv:
        from recipe_track.present.tables import compare_csv

        emit_csv(compare_csv(comparison))
    elif form == "markdown":
        from recipe_track.present.markdown import compare_markdown

        emit_text(compare_markdown(comparison))
    else:
        emit(*compare_text(comparison))
    return 0
