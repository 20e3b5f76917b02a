"""Options that every command takes, before or after its name."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any, TypeVar

import click

from recipe_track.workspace import Workspace, open_workspace

F = TypeVar("F", bound=Callable[..., Any])


@dataclass
class Call:
    """What the common options say; lives in the context of the outermost command."""

    directory: str = "."
    model: str | None = None
    json: bool = False

    @contextmanager
    def workspace(self) -> Iterator[Workspace]:
        """The recipe repository the call is about."""
        with open_workspace(self.directory) as workspace:
            yield workspace


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
