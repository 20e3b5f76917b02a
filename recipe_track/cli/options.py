"""Options that every command takes, before or after its name."""

import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

if TYPE_CHECKING:
    from recipe_track.workspace import Workspace

F = TypeVar("F", bound=Callable[..., Any])


@dataclass
class Call:
    """What the common options say; lives in the context of the outermost command."""

    directory: str = "."
    model: str | None = None
    json: bool = False

    @contextmanager
    def workspace(self, in_hook: bool = False) -> "Iterator[Workspace]":
        """The recipe repository the call is about; in a hook, with the index that git hands over."""
        from recipe_track.workspace import open_workspace

        index_file = _index_file() if in_hook and self.directory == "." else None
        with open_workspace(self.directory, index_file=index_file) as workspace:
            yield workspace


def _index_file() -> str | None:
    """The index of the commit that is being made; git names it from the folder it runs a hook in."""
    named = os.environ.get("GIT_INDEX_FILE")
    return str(Path(named).absolute()) if named else None


def _keep(key: str) -> Callable[[click.Context, click.Parameter, Any], Any]:
    def keep(ctx: click.Context, _param: click.Parameter, value: Any) -> Any:
        if value not in (None, False):
            setattr(ctx.ensure_object(Call), key, value)
        return value

    return keep


def common_options(command: F) -> F:
    """-C, --model and --json; what is said last holds."""
    options = (
        click.option(
            "-C", "in_directory", metavar="DIR", expose_value=False, callback=_keep("directory"),
            help="Repository; default: found upwards from here.",
        ),
        click.option(
            "--model", metavar="M", expose_value=False, callback=_keep("model"),
            help="Model; needed only where there are several.",
        ),
        click.option(
            "--json", "as_json", is_flag=True, expose_value=False, callback=_keep("json"),
            help="One JSON object on stdout.",
        ),
    )  # fmt: skip
    for option in reversed(options):
        command = option(command)
    return command


pass_call = click.make_pass_decorator(Call, ensure=True)
