"""The outputs that the README shows: what its commands print on the example; run as a module to refresh."""

import contextlib
import io
import os
import re
import shlex
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

from recipe_track.cli.main import run
from recipe_track.procedures.example import example_repo, replay

README = Path(__file__).parents[2] / "README.md"
BLOCK = re.compile(r"```console\n\$ recipe-track (?P<args>[^\n]*)\n(?P<shown>.*?)```\n", re.DOTALL)


def shown_blocks(text: str) -> Iterator[tuple[str, str]]:
    """Arguments and shown output of every block."""
    for block in BLOCK.finditer(text):
        yield block["args"], block["shown"]


def printed(args: str, example: Path) -> str:
    """What a command prints on the example, at 80 columns."""
    out = io.StringIO()
    os.environ.pop("COLUMNS", None)
    with contextlib.redirect_stdout(out):
        run(["-C", str(example), *shlex.split(args)])
    return "\n".join(line.rstrip() for line in out.getvalue().split("\n"))


def refreshed(text: str, example: Path) -> str:
    """The README with every shown output as the program prints it now."""

    def block(found: re.Match[str]) -> str:
        return f"```console\n$ recipe-track {found['args']}\n{printed(found['args'], example)}```\n"

    return BLOCK.sub(block, text)


def main() -> None:
    """Write the outputs of today into the README."""
    with tempfile.TemporaryDirectory() as folder:
        example = Path(folder) / "example"
        replay(example_repo(), example)
        README.write_text(refreshed(README.read_text(encoding="utf-8"), example), encoding="utf-8")


if __name__ == "__main__":
    sys.exit(main())
