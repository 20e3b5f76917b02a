"""`dossier`: one self-contained page on a change, for a review meeting and for the file."""

from pathlib import Path

import click

from recipe_track.cli.options import Call, common_options, pass_call
from recipe_track.cli.output import emit_json, emit_line
from recipe_track.cli.saving import paper_option, save


@click.command()
@click.argument("before")
@click.argument("after")
@click.option(
    "-o", "target", required=True, type=click.Path(path_type=Path), metavar="F.html", help="Where it goes."
)
@paper_option
@common_options
@pass_call
def dossier(call: Call, before: str, after: str, target: Path, paper: str) -> int:
    """What a change does, why, whom it reaches, with room for the decision; to read and to print."""
    from recipe_track.present.dossier import dossier_page
    from recipe_track.present.figures import revision_json
    from recipe_track.procedures.comparison import compare

    with call.workspace() as ws:
        comparison = compare(ws, before, after, call.model)
    save(target, dossier_page(comparison, paper))
    if call.json:
        sides = {
            "before": revision_json(comparison.before.revision),
            "after": revision_json(comparison.after.revision),
        }
        emit_json("dossier", {"path": str(target), "model": comparison.model, **sides})
    else:
        emit_line(str(target))
    return 0
