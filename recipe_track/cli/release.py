"""`release`: tag the recipe on main for a model."""

import click

from recipe_track.cli.done import dry_run_option, show_done
from recipe_track.cli.options import Call, common_options, pass_call


@click.command()
@click.argument("named", metavar="MODEL")
@click.option("--from-hull", metavar="H", help="The first hull it is for.")
@dry_run_option
@common_options
@pass_call
def release(call: Call, named: str, from_hull: str | None, dry_run: bool) -> int:
    """Tag main as the next release of MODEL; refused with problems, holds or uncovered minima."""
    from recipe_track.procedures.releases import release_model

    with call.workspace() as ws:
        done = release_model(ws, named, from_hull, dry_run)
    return show_done(call, "release", done)
