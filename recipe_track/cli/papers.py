"""Papers: `sheet`, `bill`, `dossier`."""

from pathlib import Path
from typing import Any

import click

from recipe_track.cli.options import Call, common_options, pass_call
from recipe_track.cli.output import (
    csv_option,
    emit,
    emit_csv,
    emit_json,
    emit_line,
    paper_option,
    refuse_two_forms,
    save,
)
from recipe_track.errors import CallError


@click.command()
@click.argument("of", metavar="MODEL|PART")
@click.option("--at", metavar="REV", help="A revision, release or label; default: the working files.")
@click.option("--against", metavar="REV", help="Show the difference to this revision.")
@csv_option
@common_options
@pass_call
def bill(call: Call, of: str, at: str | None, against: str | None, as_csv: bool) -> int:
    """Materials with built-in and bought quantity, boards, roll lengths and cost."""
    from recipe_track.present.data.papers import bill_csv, bill_json
    from recipe_track.present.terminal.papers import bill_text
    from recipe_track.review.papers.bill import bill_of

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


@click.command()
@click.argument("before", required=False)
@click.argument("after", required=False)
@click.option("--hull", metavar="H", help="The whole life of this hull instead of a change.")
@click.option(
    "-o", "target", required=True, type=click.Path(path_type=Path), metavar="F.html", help="Where it goes."
)
@paper_option
@common_options
@pass_call
def dossier(
    call: Call, before: str | None, after: str | None, hull: str | None, target: Path, paper: str
) -> int:
    """What a change does, why, whom it reaches, with room for the decision; or a hull's whole life."""
    if hull is not None and before is not None:
        raise CallError("a dossier is of a change or of a hull", "name BEFORE and AFTER, or --hull H")
    if hull is not None:
        said = _hull_dossier(call, hull, target, paper)
    elif before is not None and after is not None:
        said = _change_dossier(call, before, after, target, paper)
    else:
        raise CallError("a dossier needs two revisions, or a hull", "name BEFORE and AFTER, or --hull H")
    if call.json:
        emit_json("dossier", {"path": str(target), **said})
    else:
        emit_line(str(target))
    return 0


def _change_dossier(call: Call, before: str, after: str, target: Path, paper: str) -> dict[str, Any]:
    from recipe_track.present.data.values import revision_json
    from recipe_track.present.pages.dossier import dossier_page
    from recipe_track.review.change.comparison import compare
    from recipe_track.review.change.register import changes_shown

    with call.workspace() as ws:
        comparison = compare(ws, before, after, call.model)
        named = [reason.change for reason in comparison.reasons if reason.change]
        shown = changes_shown(ws, ws.current(), named)
    save(target, dossier_page(comparison, shown, paper))
    sides = (("before", comparison.before), ("after", comparison.after))
    return {"model": comparison.model, **{name: revision_json(side.revision) for name, side in sides}}


def _hull_dossier(call: Call, hull: str, target: Path, paper: str) -> dict[str, Any]:
    from recipe_track.present.pages.hull_page import hull_page
    from recipe_track.review.hull.life import hull_life

    with call.workspace() as ws:
        life = hull_life(ws, hull)
    save(target, hull_page(life, paper))
    return {"model": life.record.hull.model, "hull": life.record.number, "commit": life.as_of.commit}


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
    from recipe_track.present.data.papers import sheet_json
    from recipe_track.present.terminal.papers import sheet_text
    from recipe_track.review.papers.sheet import sheet_of

    with call.workspace() as ws:
        made = sheet_of(ws, of, call.model, hull, at)
    if target is not None:
        from recipe_track.present.pages.sheet_page import sheet_page

        save(target, sheet_page(made, paper))
    if call.json:
        emit_json("sheet", {**sheet_json(made), "path": str(target) if target else None})
    elif target is not None:
        emit_line(str(target))
    else:
        emit(*sheet_text(made))
    return 0
