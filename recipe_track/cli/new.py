"""`new`: start a recipe repository."""

from pathlib import Path

import click

from recipe_track.cli.options import Call, common_options, pass_call
from recipe_track.cli.output import emit_json, emit_line, say


@click.command()
@click.argument("directory", metavar="DIR", type=click.Path(path_type=Path))
@click.option("--dry-run", is_flag=True, help="Say what would be written, and write nothing.")
@common_options
@pass_call
def new(call: Call, directory: Path, dry_run: bool) -> int:
    """Start a recipe repository with a small craft to write over."""
    from recipe_track.procedures.start import start

    done = start(Path(call.directory) / directory, call.model, dry_run)
    for path in done.files:
        say(f"  {path}")
    if call.json:
        emit_json("new", {"directory": str(directory), "commit": done.commit})
    elif not dry_run:
        emit_line(str(directory))
        say(f"next: recipe-track -C {directory} figures")
    return 0
