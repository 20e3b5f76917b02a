"""`ui`: the terminal screens."""

import sys
from pathlib import Path

import click

from recipe_track.cli.options import Call, common_options, pass_call
from recipe_track.errors import CallError


@click.command()
@click.argument("before", required=False)
@click.argument("after", required=False)
@common_options
@pass_call
def ui(call: Call, before: str | None, after: str | None) -> int:
    """The terminal screens; two revisions may be named, as for `compare`."""
    if call.json or not (sys.stdin.isatty() and sys.stdout.isatty()):
        raise CallError(
            "the screens need a terminal to draw on",
            "`recipe-track compare`, `history`, `trial list` and `hull list` say the same as text or --json",
        )
    from recipe_track.tui.app import TrackApp
    from recipe_track.tui.session import open_session

    app = TrackApp(open_session(Path(call.directory), call.model), before, after)
    app.run()
    return app.return_code or 0
