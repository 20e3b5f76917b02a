"""Problems as they are told: place first, in the file's own words, the line and a pointer, a hint."""

from dataclasses import asdict
from typing import Any

from recipe_track.errors import Problem
from recipe_track.present.words.plain import visible

_LONGEST_LINE = 160


def place(problem: Problem) -> str:
    """`file:line:column`, as far as it is known."""
    pieces = [visible(problem.file)]
    pieces += [str(n) for n in (problem.line, problem.column) if n is not None]
    return ":".join(pieces)


def problem_text(problem: Problem) -> str:
    """A problem as lines for people, without a line end at the end."""
    lines = [f"{place(problem)}: {visible(problem.message)}"]
    if problem.line is not None and problem.excerpt:
        lines += _pointed(problem)
    if problem.hint:
        lines.append(f"    {visible(problem.hint)}")
    return "\n".join(lines)


def _pointed(problem: Problem) -> list[str]:
    column = problem.column or 1
    start = max(0, column - _LONGEST_LINE // 2) if len(problem.excerpt) > _LONGEST_LINE else 0
    shown = visible(problem.excerpt[start : start + _LONGEST_LINE])
    gutter = f"{problem.line:>6} | "
    mark = "^" * max(1, min(problem.length, len(shown) - (column - 1 - start)))
    return [f"{gutter}{shown}", f"{'':>6} | {' ' * (column - 1 - start)}{mark}"]


def problems_json(problems: tuple[Problem, ...]) -> list[dict[str, Any]]:
    """Problems as the JSON objects of `check`."""
    keys = ("file", "line", "column", "code", "message", "hint")
    return [{key: asdict(problem)[key] for key in keys} for problem in problems]
