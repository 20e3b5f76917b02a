"""`figures`: weight, stiffness, cost and centre at one revision."""

import click

from recipe_track.cli.options import Call, common_options, pass_call
from recipe_track.cli.output import emit, emit_json
from recipe_track.errors import CallError
from recipe_track.figures.zone import ZoneFigures
from recipe_track.recipe.rules.names import nearest


@click.command()
@click.argument("zones", nargs=-1, metavar="[ZONE]…")
@click.option("--at", metavar="REV", help="A revision, release or label; default: the working files.")
@click.option("--layers", is_flag=True, help="What each layer of the zones named gives.")
@common_options
@pass_call
def figures(call: Call, zones: tuple[str, ...], at: str | None, layers: bool) -> int:
    """Weight, stiffness, cost and centre per zone, part and craft."""
    from recipe_track.figures.craft import figures_of, zone_cases
    from recipe_track.figures.layers import layer_figures
    from recipe_track.present.figures import figures_json, figures_text
    from recipe_track.present.layer_value import layers_json, layers_text
    from recipe_track.procedures.standing import with_standing

    with call.workspace() as ws:
        revision = ws.revision(at or ws.default_text(), ws.only_model(call.model))
        snapshot = ws.snapshot(revision)
        model = ws.model_of(call.model, snapshot)
        computed = with_standing(ws, figures_of(snapshot, model), snapshot)
    chosen = _chosen(computed.zones, zones)
    names = {zone.zone for zone in chosen}
    cases = [case for case in zone_cases(snapshot, snapshot.models[model]) if case.name in names]
    taken_apart = layer_figures(cases) if layers else ()
    if call.json:
        extra = {"layers": layers_json(taken_apart)} if layers else {}
        emit_json("figures", {**figures_json(computed, revision, chosen), **extra})
    elif layers:
        emit(*layers_text(taken_apart, computed.currency))
    else:
        emit(*figures_text(computed, revision, chosen))
    return 0


def _chosen(zones: tuple[ZoneFigures, ...], wanted: tuple[str, ...]) -> tuple[ZoneFigures, ...]:
    known = [zone.zone for zone in zones]
    for name in wanted:
        if name not in known:
            raise CallError(f"there is no zone `{name}`", nearest(name, known))
    return tuple(zone for zone in zones if not wanted or zone.zone in wanted)
