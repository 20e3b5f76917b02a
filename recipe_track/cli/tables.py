"""Tables and texts that go to stdout byte for byte: comma-separated values, Markdown."""

import sys

import click

from recipe_track.cli.options import Call
from recipe_track.errors import CallError

csv_option = click.option(
    "--csv", "as_csv", is_flag=True, help="The table as comma-separated values (RFC 4180)."
)


def refuse_two_forms(call: Call, as_csv: bool) -> None:
    """One answer has one form."""
    if call.json and as_csv:
        raise CallError("--json and --csv exclude each other")


def emit_csv(text: str) -> None:
    """A table on stdout, its line ends as they are on every system."""
    sys.stdout.flush()
    sys.stdout.buffer.write(text.encode("utf-8"))
    sys.stdout.buffer.flush()


def emit_text(text: str) -> None:
    """A text on stdout as it is, neither folded nor coloured."""
    sys.stdout.write(text)
