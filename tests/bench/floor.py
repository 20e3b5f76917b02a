"""The least that any reading of a history costs: the libraries, git's log and blobs, and parsing them."""

import subprocess
import sys
from collections.abc import Iterator

import click  # noqa: F401
import git  # noqa: F401
import numpy  # noqa: F401
import pydantic  # noqa: F401
import tomli

LOG = (
    "log", "--raw", "-z", "--root", "--no-abbrev", "--no-renames", "--diff-merges=first-parent", "--topo-order",
    "--reverse", "--format=%H%x00%P%x00%an%x00%ae%x00%cn%x00%ce%x00%ct%x00%B", "main", "--",
)  # fmt: skip


def run(place: str, *args: str, stdin: bytes = b"") -> bytes:
    """What git prints."""
    return subprocess.run(("git", "-C", place, *args), input=stdin, capture_output=True, check=True).stdout


def blobs(place: str) -> Iterator[bytes]:
    """Every text that a commit of main brought."""
    tokens = run(place, *LOG).split(b"\0")
    entries = (token.split() for token in tokens if token.lstrip(b"\n").startswith(b":"))
    oids = dict.fromkeys(entry[3] for entry in entries)
    out = run(place, "cat-file", "--batch", "--buffer", stdin=b"\n".join(oids) + b"\n")
    at = 0
    while at < len(out):
        end = out.index(b"\n", at)
        size = int(out[at:end].rsplit(b" ", 1)[1])
        yield out[end + 1 : end + 1 + size]
        at = end + size + 2


if __name__ == "__main__":
    for text in blobs(sys.argv[1]):
        tomli.loads(text.decode())
