"""What is tried again and again here: a command that writes, and what has to be true of the yard afterwards."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from tests.faults.commands import Prepared
from tests.faults.processes import Processes, Started
from tests.journeys.yard import Yard


@dataclass(frozen=True)
class Story:
    """A command by someone; `twice` says whether main takes it a second time."""

    name: str
    who: str
    args: Callable[[Prepared], tuple[str, ...]]
    twice: bool

    def start(self, started: Processes, one: Prepared, **fault: object) -> Started:
        """Start it as a process of its own."""
        dated = () if self.name == "release" else ("--on", one.yard.repo.today)
        return started.start((*self.args(one), *dated), one.yard.repo.env(self.who), one.yard.root, **fault)


def _seen(one: Prepared) -> tuple[str, ...]:
    return ("trial", "log", "--hull", "001", "--zone", "deck/side", "--observation", "noise", "--severity", "1",
            "--text", "ticks again")  # fmt: skip


STORIES = (
    Story("log", "ada", _seen, True),
    Story("approve", "ben", lambda one: ("change", "approve", one.ids["open"]), False),
    Story("part", "ada", lambda _: ("hull", "part", "001", "--part", "deck", "--state", "demoulded"), False),
    Story(
        "decide", "ben",
        lambda one: ("trial", "decide", one.ids["trial"], "--decision", "left-as-is", "--note", "harmless"), False,
    ),
    Story("reject", "ben", lambda one: ("change", "reject", one.ids["other"], "--note", "too heavy"), False),
    Story("add", "ada", lambda _: ("hull", "add", "002", "--revision", "r2"), False),
)  # fmt: skip


def commits(yard: Yard) -> int:
    """How many commits main's first-parent line has."""
    return int(yard.repo.git("rev-list", "--count", "--first-parent", "main"))


def in_order(yard: Yard, busy: Mapping[str, object] | None = None) -> None:
    """Main is whole and valid; index and work tree are as main, but for work that was in progress before."""
    assert yard.repo.git("status", "--porcelain") == "", "index and work tree are as main"
    fsck = yard.repo.run("fsck", "--connectivity-only", "--no-dangling")
    assert fsck.returncode == 0, fsck.stderr.decode()
    assert not list((yard.root / ".git").glob("*.lock"))
    checked = yard("check")
    assert (checked.status, checked.out) == (0, "no problems\n"), checked.out
