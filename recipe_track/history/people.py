"""Who is at work, in git's words, and the messages they leave."""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from recipe_track.errors import Refused
from recipe_track.history.log import parse_trailers
from recipe_track.history.repository import Repository

# Without this git makes up a name and a mail address from the machine's.
TOLD_ONLY = ("-c", "user.useConfigOnly=true")
_IDENT = re.compile(r"(?P<name>.*) <(?P<mail>[^<>]*)> -?\d+ [+-]\d{4}")


@dataclass(frozen=True, slots=True)
class Person:
    """A name and a mail address; people are the same if their mail is, ignoring case."""

    name: str
    mail: str

    def __str__(self) -> str:
        return f"{self.name} <{self.mail}>"

    def is_same_as(self, mail: str) -> bool:
        """Whether a mail address is this person's."""
        return self.mail.casefold() == mail.casefold()


def identity(repo: Repository) -> Person:
    """Who is at work, by git's environment, then its configuration; refused where neither says."""
    people: list[Person] = []
    for variable in ("GIT_AUTHOR_IDENT", "GIT_COMMITTER_IDENT"):
        # Git's own answer, environment before configuration; the committer's too, or the commit would fail.
        answer = repo.run(*TOLD_ONLY, "var", variable)
        match = _IDENT.fullmatch(answer.out.decode("utf-8", "replace").strip())
        if answer.status != 0 or match is None or not match["name"] or not match["mail"]:
            raise Refused(
                "git does not know who you are, so nothing was written",
                'say so once: git config --global user.name "Your Name"; the same for user.email',
            )
        people.append(Person(match["name"], match["mail"]))
    return people[0]


def compose(subject: str, body: str = "", trailers: Sequence[tuple[str, str]] = ()) -> str:
    """A commit message; text typed by people can neither break out of its line nor pass for a trailer."""
    lines = [(key, _one_line(value)) for key, value in trailers]
    kept = [f"{key}: {value}" for key, value in lines if value]
    prose = body.replace("\r\n", "\n").replace("\0", "").strip("\n")
    if not kept and parse_trailers(f"subject\n\n{prose}"):
        prose = "\n".join(f"  {line}" if line else line for line in prose.split("\n"))
    return "\n\n".join(part for part in (_one_line(subject), prose, "\n".join(kept)) if part) + "\n"


def _one_line(text: str) -> str:
    return " ".join(text.replace("\0", "").split())
