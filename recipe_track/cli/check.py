"""`check`: every problem of the files, at its place."""

from __future__ import annotations

import sys
from pathlib import Path, PurePosixPath
from typing import TYPE_CHECKING

import click

from recipe_track.cli.options import Call, common_options, pass_call
from recipe_track.cli.output import emit_json, emit_line, emit_text, say
from recipe_track.errors import CallError, Problem
from recipe_track.history.refs import head_commit
from recipe_track.present.words.problems import problem_text, problems_json
from recipe_track.recipe import rules

if TYPE_CHECKING:
    from recipe_track.workspace import Reading, Workspace

MEANT = 'a value that is meant: plausible = { its_key = { value = …, why = "…" } } in the same table'


@click.command()
@click.argument("paths", nargs=-1, metavar="[PATH]…")
@click.option("--at", metavar="REV", help="A revision instead of the files as they lie.")
@click.option("--staged", is_flag=True, help="What the next commit will hold; for a hook.")
@click.option("--strict", is_flag=True, help="Values that are not ordinary are problems too.")
@common_options
@pass_call
def check(call: Call, paths: tuple[str, ...], at: str | None, staged: bool, strict: bool) -> int:
    """Validate the files; every problem as file:line:column, exit status 1 if there is any.

    A value that is allowed but not ordinary is a note. If it is meant, say so in the same table:
    plausible = { thickness_mm = { value = 80, why = "…" } }
    """
    if staged and at is not None:
        raise CallError("--at and --staged exclude each other")
    with call.workspace(in_hook=staged) as ws:
        reading = ws.read_staged() if staged else _reading(ws, at, call.model)
        wanted = [_in_repository(ws, Path(call.directory), path) for path in paths]
        problems = tuple(p for p in reading.problems if _is_under(p, wanted))
        notes = tuple(p for p in _notes(ws, reading, staged) if _is_under(p, wanted))
        beside = tuple(p for p in _beside(ws, staged, at) if _is_under(p, wanted))
    if strict:
        problems, notes = (*problems, *notes), ()
    if call.json:
        emit_json("check", {"problems": problems_json(problems), "notes": problems_json((*notes, *beside))})
    else:
        _print(problems, notes, beside)
    return 1 if problems else 0


def _reading(ws: Workspace, at: str | None, model: str | None) -> Reading:
    revision = ws.revision(at or ws.default_text(), ws.only_model(model))
    return ws.read(revision, with_records=True)


def _not_here(ws: Workspace) -> tuple[Problem, ...]:
    """A note where a clone was made without main, so that nothing of it was looked at."""
    if ws.refs.main is not None or head_commit(ws.repo) is None:
        return ()
    what = f"{ws.main_branch} is not in this clone, so what it holds was not looked at"
    hint = f"git fetch origin {ws.main_branch}:{ws.main_branch}"
    return (Problem("recipe-track.toml", None, None, "main-not-here", what, hint),)


def _beside(ws: Workspace, staged: bool, at: str | None) -> tuple[Problem, ...]:
    """What is told of this clone, whatever its files say: records that are on no commit among it."""
    from recipe_track.workspace.leftovers import leftovers

    lying = tuple(
        Problem(one.path, None, None, "left-lying", one.message, one.remedy)
        for one in (leftovers(ws, staged_only=staged) if at is None else ())
    )
    return (*_not_here(ws), *lying)


def _notes(ws: Workspace, reading: Reading, staged: bool) -> tuple[Problem, ...]:
    """What is worth a second look; for a hook, which has to be quick, without what takes figures to tell."""
    if staged:
        return reading.located(rules.notes(reading.snapshot))
    from recipe_track.review.plausibility import notes

    return notes(ws, reading)


def _say_note(note: Problem) -> None:
    print(f"note: {problem_text(note)}", file=sys.stderr)


def _print(problems: tuple[Problem, ...], notes: tuple[Problem, ...], beside: tuple[Problem, ...]) -> None:
    for problem in problems:
        emit_text(f"{problem_text(problem)}\n")
    for note in notes:
        _say_note(note)
    if notes:
        say(MEANT)
    for note in beside:
        _say_note(note)
    if problems:
        say(f"{len(problems)} problem{'s' if len(problems) > 1 else ''}")
    else:
        emit_line("no problems")


def _in_repository(ws: Workspace, directory: Path, path: str) -> PurePosixPath:
    """A path from -C or where one stands, or from the top of the repository."""
    if ws.repo.root is None:
        return PurePosixPath(path)
    candidates = ((directory / path).absolute(), Path(path).absolute(), ws.repo.root / path)
    found = next((candidate for candidate in candidates if candidate.exists()), None)
    if found is None:
        raise CallError(f"there is no file or folder {path}")
    try:
        return PurePosixPath(found.resolve().relative_to(ws.repo.root.resolve()).as_posix())
    except ValueError:
        raise CallError(f"{path} lies outside the repository {ws.repo.root}") from None


def _is_under(problem: Problem, wanted: list[PurePosixPath]) -> bool:
    file = PurePosixPath(problem.file)
    return not wanted or any(file == w or w in file.parents or str(w) == "." for w in wanted)
