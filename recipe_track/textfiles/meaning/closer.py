"""A closer look at a file that has something wrong or newer syntax: every problem at its place."""

from collections.abc import Iterable

from pydantic import BaseModel

from recipe_track.errors import Fault, Problem
from recipe_track.textfiles.meaning.naming import plain
from recipe_track.textfiles.meaning.paths import newer_format, validate
from recipe_track.textfiles.syntax.decoding import Decoded, Mistake
from recipe_track.textfiles.syntax.parsing import follows, parse
from recipe_track.textfiles.syntax.places import extent_of, problem_at

LONGEST = 160  # characters of a message that quotes the text


def look_closer(kind: str, path: str, decoded: Decoded) -> tuple[BaseModel | None, tuple[Problem, ...]]:
    """The model of a file after all, or None and every problem."""
    if not decoded.legible:
        return None, _in_order(_in_text(path, "", decoded.mistakes))
    parsed = parse(decoded)
    newer = newer_format(path, parsed.data) if kind == "settings" else None
    model, faults = (None, [newer]) if newer else validate(kind, path, parsed.data)
    if model is not None and not parsed.mistakes:
        return model, ()
    own = [fault for fault in faults if not follows(fault, parsed)]
    return None, _in_order(
        [
            # A newer format may well have syntax of its own: its mistakes here say nothing.
            *_in_text(path, decoded.shown, () if newer else parsed.mistakes),
            *(problem_at(fault, decoded.shown, extent_of(fault, parsed.places)) for fault in own),
        ]
    )


def _in_text(path: str, text: str, mistakes: Iterable[Mistake]) -> list[Problem]:
    """Mistakes as problems; they quote text, which is cut and made visible."""
    return [
        problem_at(
            Fault(path, (), one.code, plain(one.message, LONGEST), plain(one.hint, LONGEST)),
            text,
            (one.start, one.start + one.length),
        )
        for one in mistakes
    ]


def _in_order(problems: Iterable[Problem]) -> tuple[Problem, ...]:
    return tuple(sorted(problems, key=lambda one: (one.line or 0, one.column or 0)))
