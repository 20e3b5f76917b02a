"""Answers about what is committed, kept from one call to the next."""

import os
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from recipe_track.cli.options import Call
from recipe_track.cli.output import columns, emit_csv, emit_text

if TYPE_CHECKING:
    from recipe_track.history.repository import Repository
    from recipe_track.workspace import Workspace

_LOOKS = ("TERM", "COLORTERM", "NO_COLOR", "FORCE_COLOR")  # what a terminal is told hangs on them


@dataclass(frozen=True, slots=True)
class Answer:
    """What is printed, and the exit status; not kept where it tells of this clone and this moment."""

    text: str
    status: int = 0
    keep: bool = True


def answered(call: Call, asked: Sequence[object], form: str, make: "Callable[[Workspace], Answer]") -> int:
    """Print the answer to a question: the one that is kept, or one made now and kept."""
    from recipe_track.history.answers import program_state, standing
    from recipe_track.history.cache import open_cache
    from recipe_track.history.repository import open_repository

    with open_repository(call.directory) as repo, open_cache(repo, program_state()) as cache:
        before = standing(repo)
        look = (str(columns()), str(sys.stdout.isatty()), *(os.environ.get(name, "") for name in _LOOKS))
        question = repr((asked, call.model, form, look))
        kept = cache.get(f"{question} {before}") if before else None
        if isinstance(kept, list) and len(kept) == 2:
            return _told(form, Answer(str(kept[0]), int(kept[1])))
        answer = make(_opened(repo))
        after = standing(repo)
        is_still = before is not None and after is not None and after.refs == before.refs
        if answer.keep and is_still and not _hangs_on_time(asked):
            cache.put(f"{question} {after}", [answer.text, answer.status])
    return _told(form, answer)


def _opened(repo: "Repository") -> "Workspace":
    from recipe_track.workspace import Workspace

    ws = Workspace(repo)
    ws.refuse_unknown()
    return ws


def _hangs_on_time(asked: Sequence[object]) -> bool:
    """Whether a revision is told by where a branch was some time ago: `main@{yesterday}`."""
    return any("@{" in str(one) for one in asked)


def _told(form: str, answer: Answer) -> int:
    (emit_csv if form == "csv" else emit_text)(answer.text)
    return answer.status
