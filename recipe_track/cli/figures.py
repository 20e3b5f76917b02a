"""`figures`: weight, stiffness, cost and centre at one revision, and closer looks at single zones."""

import click

from recipe_track.cli.options import Call, common_options, pass_call
from recipe_track.cli.output import emit, emit_json
from recipe_track.cli.tables import csv_option, emit_csv, refuse_two_forms
from recipe_track.errors import CallError
from recipe_track.figures.zone import ZoneFigures
from recipe_track.recipe.rules.names import nearest


@click.command()
@click.argument("zones", nargs=-1, metavar="[ZONE]…")
@click.option("--at", metavar="REV", help="A revision, release or label; default: the working files.")
@click.option("--layers", is_flag=True, help="What each layer of the zones named gives.")
@click.option("--working", is_flag=True, help="The derivation, to be redone by hand.")
@click.option("--markdown", is_flag=True, help="The derivation as Markdown.")
@click.option("--spread", is_flag=True, help="Standard deviations out of the tolerances of the materials.")
@csv_option
@common_options
@pass_call
def figures(call: Call, /, zones: tuple[str, ...], at: str | None, as_csv: bool, **looks: bool) -> int:
    """Weight, stiffness, cost and centre per zone, part and craft."""
    from recipe_track.cli.closer import closer_looks
    from recipe_track.figures.craft import figures_of
    from recipe_track.present.figures import figures_json, figures_text
    from recipe_track.procedures.standing import with_standing

    refuse_two_forms(call, as_csv)
    with call.workspace() as ws:
        revision = ws.revision(at or ws.default_text(), ws.only_model(call.model))
        snapshot = ws.snapshot(revision)
        model = ws.model_of(call.model, snapshot)
        computed = with_standing(ws, figures_of(snapshot, model), snapshot)
    chosen = _chosen(computed.zones, zones)
    closer = closer_looks(snapshot, model, {zone.zone for zone in chosen}, looks)
    if call.json:
        extra = {name: look.json() for name, look in closer.items()}
        emit_json("figures", {**figures_json(computed, revision, chosen), **extra})
    elif as_csv:
        from recipe_track.present.tables import figures_csv

        emit_csv(figures_csv(computed, chosen))
    elif closer:
        for look in closer.values():
            emit(*look.text(computed.currency))
    else:
        emit(*figures_text(computed, revision, chosen))
    return 0


def _chosen(zones: tuple[ZoneFigures, ...], wanted: tuple[str, ...]) -> tuple[ZoneFigures, ...]:
    known = [zone.zone for zone in zones]
    for name in wanted:
        if name not in known:
            raise CallError(f"there is no zone `{name}`", nearest(name, known))
    return tuple(zone for zone in zones if not wanted or zone.zone in wanted)
