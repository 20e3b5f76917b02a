"""`git-setup`, and what git itself calls afterwards: the diff driver, the merge driver, a hook."""

from pathlib import Path
from typing import Any

import click

from recipe_track.cli.options import Call, common_options, pass_call
from recipe_track.cli.output import emit_bytes, emit_json, emit_line, say
from recipe_track.cli.writing import dry_run_option
from recipe_track.drivers.setup import LeftAlone, Setup, SetupFile, carry_out, plan_setup


@click.command("git-setup")
@click.option("--undo", is_flag=True, help="Take it all out again.")
@dry_run_option
@common_options
@pass_call
def git_setup(call: Call, undo: bool, dry_run: bool) -> int:
    """Let git show and merge layups line by line, and check what is committed, in this clone.

    Writes the configuration, the attributes and the hooks under the git directory of this clone and nothing
    in the files of the repository. A hook that is not its own, or lies elsewhere, stays as it is: the line to
    add is printed.
    """
    with call.workspace() as ws:
        setup = plan_setup(ws.repo, undo)
        if not dry_run:
            carry_out(ws.repo, setup)
    if call.json:
        emit_json("git-setup", {"undo": undo, "dry_run": dry_run, **_json(setup)})
    else:
        _tell(setup)
        say(_summary(setup, undo, dry_run))
    return 0


def _tell(setup: Setup) -> None:
    for change in setup.settings:
        value = f"--unset-all {change.key}" if change.after is None else f"{change.key} {change.after}"
        emit_line(f"git config --local {value}")
    for file in setup.files:
        emit_line(f"{'take away' if file.after is None else 'write'} {file.path}")
        for line in (file.after or "").splitlines():
            emit_line(f"    {line}")
    for left in setup.left:
        emit_line(f"leave alone {left.path}: {left.reason}")
        if left.lines:
            emit_line("  to have it all the same, add by hand:")
        for line in left.lines:
            emit_line(f"    {line}")


def _summary(setup: Setup, undo: bool, dry_run: bool) -> str:
    if not setup.settings and not setup.files:
        return f"nothing to do: this clone is {'not' if undo else 'already'} set up"
    if dry_run:
        return "nothing was written"
    return "taken out of this clone" if undo else "this clone is set up; --undo takes it out again"


def _json(setup: Setup) -> dict[str, Any]:
    settings = [{"key": s.key, "before": s.before, "after": s.after} for s in setup.settings]
    return {
        "settings": settings,
        "files": [_file_json(file) for file in setup.files],
        "left": [_left_json(left) for left in setup.left],
    }


def _file_json(file: SetupFile) -> dict[str, Any]:
    return {"path": str(file.path), "before": file.before, "after": file.after}


def _left_json(left: LeftAlone) -> dict[str, Any]:
    return {"path": str(left.path), "reason": left.reason, "lines": list(left.lines)}


FILE = click.Path(path_type=Path)


@click.command("git-textconv", hidden=True)
@click.argument("file", type=FILE)
def git_textconv(file: Path) -> int:
    """Print a zone or a material so that it reads well in a diff."""
    from recipe_track.drivers.textconv import diff_text

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
    from recipe_track.drivers.calls import merge_files

    return 0 if merge_files(path, base, ours, theirs, marker_size) else 1


@click.command("git-message", hidden=True)
@click.argument("message", type=FILE)
@common_options
@pass_call
def git_message(call: Call, message: Path) -> int:
    """Warn of trailers that a commit to the recipe lacks; never stops it."""
    from recipe_track.drivers.calls import missing_trailers

    with call.workspace(in_hook=True) as ws:
        missing = missing_trailers(ws, message)
    for key in missing:
        say(f"recipe-track: warning: this commit changes the recipe and has no `{key}:` trailer")
    if missing:
        say("  add it with `git commit --amend`; `recipe-track change propose` writes both by itself")
    return 0
