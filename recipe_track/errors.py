"""What can go wrong: a fault before it is located, a problem once it is, and the errors commands raise."""

from dataclasses import dataclass
from typing import Literal

Key = tuple[str | int, ...]


@dataclass(frozen=True, slots=True)
class Fault:
    """Something wrong at a key of a file, said by a room that does not know lines and columns.

    Programs go by `code` and `name`, the name of another thing that the fault is about; messages are for
    people and may be worded anew at any time.
    """

    file: str
    key: Key
    code: str
    message: str
    hint: str = ""
    at: Literal["value", "key"] = "value"
    name: str = ""


@dataclass(frozen=True, slots=True)
class Problem:
    """Something wrong at a place of a file; line and column count from 1, None where no place is known.

    `code`, `key` and `name` are those of the fault; a mistake in the text itself has no key.
    """

    file: str
    line: int | None
    column: int | None
    code: str
    message: str
    hint: str = ""
    excerpt: str = ""
    length: int = 1
    key: Key = ()
    name: str = ""


class TrackError(Exception):
    """Any error that is told to a person without a traceback."""

    def __init__(self, message: str, hint: str = "") -> None:
        super().__init__(message)
        self.message = message
        self.hint = hint


class CallError(TrackError):
    """The call is wrong: an unknown revision, zone, hull or option value."""


class RepositoryError(TrackError):
    """There is no git, no repository, or none that can be read."""


def misunderstood(error: Exception) -> RepositoryError:
    """Git answered nothing that git says: another program of that name, a broken one, a damaged store."""
    said = f"{type(error).__name__}: {error}"
    return RepositoryError(
        f"git's answers cannot be understood ({said})", "see that `git --version` and `git fsck` are in order"
    )


def mistake_of_the_program(error: BaseException) -> str:
    """What is said of an error that only who writes the program can mend, with the place where it arose."""
    at, where = error.__traceback__, ""
    while at is not None:
        where = f" ({at.tb_frame.f_globals.get('__name__')}, line {at.tb_lineno})"
        at = at.tb_next
    return f"a mistake of the program: {type(error).__name__}: {error}{where}"


class InvalidRecipe(TrackError):
    """Files that had to be valid are not; carries every problem."""

    def __init__(self, message: str, problems: tuple[Problem, ...], hint: str = "") -> None:
        super().__init__(message, hint)
        self.problems = problems


class Refused(TrackError):
    """A proposal, decision or release that the rules do not allow, with every reason."""

    def __init__(self, message: str, hint: str = "", details: tuple[str, ...] = ()) -> None:
        super().__init__(message, hint)
        self.details = details


class Doubtful(Refused):
    """Something so unlikely that it is done only if it is said to be meant."""
