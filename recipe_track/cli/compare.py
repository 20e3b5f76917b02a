"""`compare`: what a change does, layer by layer and figure by figure, and why it was made."""

import click

from recipe_track.cli.options import Call, common_options, pass_call
from recipe_track.cli.output import emit, emit_json


@click.command()
@click.argument("before", required=False)
@click.argument("after", required=False)
@common_options
@pass_call
def compare(call: Call, before: str | None, after: str | None) -> int:
    """Change impact; default: last release → working files. One argument is BEFORE."""
    from recipe_track.present.compare import compare_json, compare_text
    from recipe_track.procedures.comparison import compare as compare_revisions

    with call.workspace() as ws:
        comparison = compare_revisions(ws, before, after, call.model)
    if call.json:
        emit_json("compare", compare_json(comparison))
    else:
        emit(*compare_text(comparison))
    return 0
