"""Pages written to a file that a person names: written beside it, then renamed into place."""

import os
from pathlib import Path

import click

from recipe_track.errors import CallError

paper_option = click.option(
    "--paper", type=click.Choice(["a4", "letter"]), default="a4", show_default=True, help="Paper to print on."
)


def save(target: Path, text: str) -> None:
    """Write a page; the file that was there before stays until the new one is whole."""
    beside = target.with_name(f".{target.name}.{os.getpid()}.part")
    try:
        if target.is_dir():
            raise CallError(f"{target} is a folder", "name a file: -o F.html")
        beside.write_bytes(text.encode("utf-8"))
        beside.replace(target)
    except OSError as error:
        beside.unlink(missing_ok=True)
        raise CallError(f"{target} cannot be written: {error.strerror}") from error
