"""`compare`: what a change does, layer by layer and figure by figure, and why it was made."""

from typing import TYPE_CHECKING

import click

from recipe_track.cli.options import Call, common_options, pass_call
from recipe_track.cli.output import columns, json_text, people_text
from recipe_track.cli.tables import csv_option, emit_csv, emit_text, refuse_two_forms
from recipe_track.workspace.memory import remembered

if TYPE_CHECKING:
    from recipe_track.procedures.comparison import Comparison


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
    refuse_two_forms(call, as_csv)
    form = "json" if call.json else "csv" if as_csv else form
    with call.workspace() as ws:
        old, new = ws.pair(before, after, ws.only_model(call.model))

        def made() -> str:
            from recipe_track.procedures.comparison import compare_revisions

            return _text(compare_revisions(ws, old, new, call.model), form)

        if old.commit is None or new.commit is None:
            text = made()
        else:
            key = ("compare", form, str(columns()), call.model or "", old.commit, new.commit)
            text = remembered(ws, key, made)
    (emit_csv if form == "csv" else emit_text)(text)
    return 0


def _text(comparison: "Comparison", form: str) -> str:
    if form == "markdown":
        from recipe_track.present.markdown import compare_markdown

        return compare_markdown(comparison)
    if form == "csv":
        from recipe_track.present.tables import compare_csv

        return compare_csv(comparison)
    from recipe_track.present.compare import compare_json, compare_text

    if form == "json":
        return json_text("compare", compare_json(comparison))
    return people_text(*compare_text(comparison))
