"""Two revisions held against each other: `compare`, and `ui` on screens."""

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from recipe_track.cli.options import Call, common_options, pass_call
from recipe_track.cli.output import (
    columns,
    csv_option,
    emit_csv,
    emit_text,
    json_text,
    people_text,
    refuse_two_forms,
)
from recipe_track.errors import CallError, RepositoryError
from recipe_track.workspace.memory import remembered

if TYPE_CHECKING:
    from recipe_track.review.change.comparison import Comparison


@click.command()
@click.argument("before", required=False)
@click.argument("after", required=False)
@click.option(
    "--format", "form", type=click.Choice(["text", "markdown"]), default="text", show_default=True,
    help="Markdown is a short form for a code-review comment.",
)  # fmt: skip
@csv_option
@common_options
@pass_call
def compare(call: Call, before: str | None, after: str | None, form: str, as_csv: bool) -> int:
    """Change impact; default: last release → working files. One argument is BEFORE."""
    refuse_two_forms(call, as_csv)
    form = "json" if call.json else "csv" if as_csv else form
    with call.workspace() as ws:
        old, new = ws.pair(before, after, ws.only_model(call.model))

        def made() -> str:
            from recipe_track.review.change.comparison import compare_revisions

            return _text(compare_revisions(ws, old, new, call.model), form)

        if old.commit is None or new.commit is None:
            text = made()
        else:
            key = ("compare", form, str(columns()), call.model or "", old.commit, new.commit)
            text = remembered(ws, key, made)
    (emit_csv if form == "csv" else emit_text)(text)
    return 0


def _text(comparison: "Comparison", form: str) -> str:
    if form == "markdown":
        from recipe_track.present.pages.markdown import compare_markdown

        return compare_markdown(comparison)
    if form == "csv":
        from recipe_track.present.data.compare import compare_csv

        return compare_csv(comparison)
    from recipe_track.present.data.compare import compare_json
    from recipe_track.present.terminal.compare import compare_text

    if form == "json":
        return json_text("compare", compare_json(comparison))
    return people_text(*compare_text(comparison))


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
    from recipe_track.tui.threads import finish_writing

    app = TrackApp(open_session(Path(call.directory), call.model), before, after)
    app.run()
    if not finish_writing():
        raise RepositoryError(
            "what was being written did not end in time", "`recipe-track check` says how it stands"
        )
    return app.return_code or 0
