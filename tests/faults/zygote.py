"""A process that has the program loaded and forks for each call: as good as a fresh start, at a hundredth of its cost.

Reads one JSON object a line: `args`, `env`, `out` (the files of stdout and stderr begin so), and what is to go
wrong: `kill` is the number of the call of git before which the caller is killed, `file_size` the most bytes
that a file may get; with `count` it is noted how often git is called. Answers each with the process id at once.
"""

import json
import os
import resource
import signal
import sys
from typing import Any

from recipe_track.cli.main import COMMANDS, LazyGroup, cli, run


def main() -> None:
    """Load everything, then fork until stdin ends."""
    import click
    import git
    import numpy  # noqa: F401

    assert isinstance(cli, LazyGroup)
    for name in COMMANDS.keys() - {"ui"}:
        cli.get_command(click.Context(cli), name)
    del git
    signal.signal(signal.SIGCHLD, signal.SIG_IGN)
    for line in sys.stdin:
        child = os.fork()
        if child == 0:
            _call(json.loads(line))
        print(child, flush=True)


def _call(asked: dict[str, Any]) -> None:
    """Run one command as a process of its own, and leave its exit status in a file."""
    signal.signal(signal.SIGCHLD, signal.SIG_DFL)
    os.setsid()
    os.environ.clear()
    os.environ.update(asked["env"])
    for number, kind in ((1, "out"), (2, "err")):
        os.dup2(os.open(f"{asked['out']}.{kind}", os.O_WRONLY | os.O_CREAT | os.O_TRUNC), number)
    os.dup2(os.open(os.devnull, os.O_RDONLY), 0)
    if asked.get("file_size"):
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (asked["file_size"], asked["file_size"]))
    if asked.get("kill"):
        _kill_at(asked["kill"])
    calls = _counted() if asked.get("count") else []
    status = run(asked["args"])
    if asked.get("count"):
        _write(f"{asked['out']}.calls", len(calls))
    sys.stdout.flush()
    sys.stderr.flush()
    _write(f"{asked['out']}.status", status)
    os._exit(status)


def _write(name: str, number: int) -> None:
    with open(name, "w", encoding="ascii") as file:  # noqa: PTH123
        file.write(str(number))


def _kill_at(number: int) -> None:
    """Die before a call of git, as by `kill -9`."""
    import git

    execute, calls = git.Git.execute, iter(range(1, 1_000_000))

    def mortal(*args: Any, **kwargs: Any) -> Any:
        if next(calls) == number:
            os.kill(os.getpid(), signal.SIGKILL)
        return execute(*args, **kwargs)

    git.Git.execute = mortal  # type: ignore[method-assign]


def _counted() -> list[None]:
    """A list that grows with each call of git."""
    import git

    execute, calls = git.Git.execute, list[None]()

    def counted(*args: Any, **kwargs: Any) -> Any:
        calls.append(None)
        return execute(*args, **kwargs)

    git.Git.execute = counted  # type: ignore[method-assign]
    return calls


if __name__ == "__main__":
    main()
