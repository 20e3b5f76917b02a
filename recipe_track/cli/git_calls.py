"""What git itself calls in a clone that was set up: the diff driver, the merge driver, a hook."""

from pathlib import Path

import click

from recipe_track.cli.options import Call, common_options, pass_call
from recipe_track.cli.output import emit_bytes, say

FILE = click.Path(path_type=Path)


@click.command("git-textconv", hidden=True)
@click.argument("file", type=FILE)
def git_textconv(file: Path) -> int:
    """Print a zone or a material so that it reads well in a diff."""
    from recipe_track.present.textconv import diff_text

    emit_bytes(diff_text(file.read_bytes()))
    return 0


@click.command("git-merge", hidden=True)
@click.argument("base", type=FILE)
@click.argument("ours", type=FILE)
@click.argument("theirs", type=FILE)
@click.argument("marker_size", type=click.IntRange(1))
@click.argument("path")
def git_merge(base: Path, ours: Path, theirs: Path, marker_size: int, path: str) -> int:
    """Merge three versions of the file at PATH into OURS; status 1 where it holds conflict markers."""
    from recipe_track.procedures.merging import merge_files

    return 0 if merge_files(path, base, ours, theirs, marker_size) else 1


@click.command("git-message", hidden=True)
@click.argument("message", type=FILE)
@common_options
@pass_call
def git_message(call: Call, message: Path) -> int:
    """Warn of trailers that a commit to the recipe lacks; never stops it."""
    from recipe_track.procedures.commit_message import missing_trailers

    with call.workspace(in_hook=True) as ws:
        missing = missing_trailers(ws, message)
    for key in missing:
        say(f"recipe-track: warning: this commit changes the recipe and has no `{key}:` trailer")
    if missing:
        say("  add it with `git commit --amend`; `recipe-track change propose` writes both by itself")
    return 0
