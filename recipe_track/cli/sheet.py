"""`sheet`: the layup sheet of a part or a zone for the shop floor."""

from pathlib import Path

import click

from recipe_track.cli.options import Call, common_options, pass_call
from recipe_track.cli.output import emit, emit_json, emit_line
from recipe_track.cli.saving import paper_option, save


@click.command()
@click.argument("of", metavar="PART|ZONE")
@click.option(
    "--hull", metavar="H", help="As this hull's part was started, with its permits and concessions."
)
@click.option("--at", metavar="REV", help="A revision instead of the working files.")
@click.option("-o", "target", type=click.Path(path_type=Path), metavar="F.html", help="A page to print.")
@paper_option
@common_options
@pass_call
def sheet(call: Call, of: str, hull: str | None, at: str | None, target: Path | None, paper: str) -> int:
    """What goes into the mould: steps from mould side to bag side, cut areas, resin to mix, cautions."""
    from recipe_track.present.sheet import sheet_json, sheet_text
    from recipe_track.procedures.sheet import sheet_of

    with call.workspace() as ws:
        made = sheet_of(ws, of, call.model, hull, at)
    if target is not None:
        from recipe_track.present.sheet_page import sheet_page

        save(target, sheet_page(made, paper))
    if call.json:
        emit_json("sheet", {**sheet_json(made), "path": str(target) if target else None})
    elif target is not None:
        emit_line(str(target))
    else:
        emit(*sheet_text(made))
    return 0
