"""A repository to begin with: `new` for one's own, `demo` for the example."""

import tempfile
from pathlib import Path

import click

from recipe_track.cli.options import Call, common_options, pass_call
from recipe_track.cli.output import emit, emit_json, emit_line, say
from recipe_track.errors import CallError


@click.command()
@click.argument("directory", metavar="[DIR]", required=False, type=click.Path(path_type=Path))
@common_options
@pass_call
def demo(call: Call, directory: Path | None) -> int:
    """Build the example (a fictitious yard and craft) with its history, and compare two of its revisions."""
    from recipe_track.present.data.compare import compare_json
    from recipe_track.present.terminal.compare import compare_text
    from recipe_track.procedures.example import example_repo, replay
    from recipe_track.review.change.comparison import compare
    from recipe_track.workspace import open_workspace

    target = directory or Path(tempfile.mkdtemp(prefix="recipe-track-demo-"))
    if target.exists() and (not target.is_dir() or any(target.iterdir())):
        raise CallError(f"{target} is not an empty folder", "name a folder that does not exist yet")
    built = replay(example_repo(), target)
    with open_workspace(target) as ws:
        comparison = compare(ws, built.before, built.after, call.model)
    if call.json:
        emit_json("demo", {"directory": str(target), **compare_json(comparison)})
    else:
        emit(*compare_text(comparison))
    for line in _next_steps(target, built.before, built.after, built.zone):
        say(line)
    return 0


def _next_steps(target: Path, before: str, after: str, zone: str) -> list[str]:
    here = f"recipe-track -C {target}"
    return [
        "",
        f"The example lies in {target}; the yard, the craft and the data are fictitious. Try next:",
        f"  {here} ui {before} {after}",
        f"  {here} why {zone}",
        f"  {here} history {zone}",
        f"  {here} hull list",
        f"  {here} audit",
    ]


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
