"""`trial`: observations from trials and service, logged against a hull."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any, get_args

import click

from recipe_track.cli.options import Call, common_options, pass_call
from recipe_track.cli.output import csv_option, emit, emit_csv, emit_json, refuse_two_forms
from recipe_track.cli.writing import (
    ask_number,
    ask_one,
    ask_text,
    do_meant,
    dry_run_option,
    is_asking,
    meant_option,
    on_option,
    show_done,
)
from recipe_track.recipe.records import DECISIONS_ABOUT, Observation

if TYPE_CHECKING:
    from recipe_track.workspace import Workspace

OBSERVATIONS = get_args(Observation)
SEVERITY = "severity: 1 cosmetic, 2 nuisance, 3 affects use, 4 restricts use, 5 unsafe"


@click.group()
def trial() -> None:
    """Observations from trials and service."""


@trial.command("log")
@click.option("--hull", metavar="H", help="Hull number.")
@click.option("--zone", metavar="Z", help="Zone, as part/zone.")
@click.option("--observation", type=click.Choice(OBSERVATIONS), help="What was found.")
@click.option("--severity", type=click.IntRange(1, 5), help=SEVERITY)
@click.option("--text", metavar="T", help="What was felt, seen or measured.")
@on_option
@click.option("--conditions", metavar="C", help="Sea, speed, load.")
@click.option("--deflection-mm", type=float, metavar="D", help="Measured deflection.")
@click.option("--force-kn", type=float, metavar="F", help="Under this load,")
@click.option("--side-mm", type=float, metavar="S", help="spread over a square of this side.")
@click.option("--attach", multiple=True, type=click.Path(path_type=Path), metavar="FILE", help="A photo.")
@click.option("--note", metavar="N")
@meant_option
@dry_run_option
@common_options
@pass_call
def log(call: Call, /, dry_run: bool, attach: tuple[Path, ...], **given: Any) -> int:
    """Log an observation; asks for what is missing on a terminal. Works offline."""
    from recipe_track.procedures.trials import TrialEntry, log_trial

    with call.workspace() as ws:
        asks = is_asking(call)
        answered = {**given, **_asked(ws, given, asks=asks), "attachments": attach}
        done = do_meant(answered, lambda said: log_trial(ws, TrialEntry(**said), dry_run), asks=asks)
    return show_done(call, "trial-log", done)


def _asked(ws: Workspace, given: dict[str, Any], *, asks: bool) -> dict[str, Any]:
    """What a person answers to what the call leaves open: hull, then the zones of that hull, and so on."""
    from recipe_track.review.choosing import hull_named
    from recipe_track.review.hull.zones import zones_of_hull

    current = ws.current()
    hull = ask_one(given["hull"], "--hull", "hull", current.numbers(), asks=asks)
    hull_named(current, hull)
    zones = zones_of_hull(ws, current, hull)
    return {
        "hull": hull,
        "zone": ask_one(given["zone"], "--zone", "zone", zones, asks=asks),
        "observation": ask_one(given["observation"], "--observation", "observation", OBSERVATIONS, asks=asks),
        "severity": ask_number(given["severity"], "--severity", SEVERITY, 1, 5, asks=asks),
        "text": ask_text(given["text"], "--text", "what was felt, seen or measured", asks=asks),
    }


@trial.command("list")
@click.option("--open", "only_open", is_flag=True, help="What no approved change and no decision answers.")
@click.option("--zone", metavar="Z", help="Only this zone, by any of its names.")
@click.option("--hull", metavar="H", help="Only this hull.")
@csv_option
@common_options
@pass_call
def list_(call: Call, only_open: bool, zone: str | None, hull: str | None, as_csv: bool) -> int:
    """Observations, worst first."""
    from recipe_track.review.hull.overview import trial_rows

    refuse_two_forms(call, as_csv)
    with call.workspace() as ws:
        rows = trial_rows(ws.current(), only_open=only_open, zone=zone, hull=hull)
    if call.json:
        from recipe_track.present.data.records import trials_json

        emit_json("trial-list", trials_json(rows))
    elif as_csv:
        from recipe_track.present.data.csv import trials_csv

        emit_csv(trials_csv(rows))
    else:
        from recipe_track.present.terminal.records import trials_text

        emit(*trials_text(rows, only_open))
    return 0


@trial.command()
@click.argument("trial_id", metavar="ID")
@common_options
@pass_call
def show(call: Call, trial_id: str) -> int:
    """One observation, and what became of it."""
    from recipe_track.present.data.records import trial_json
    from recipe_track.present.terminal.records import trial_text
    from recipe_track.present.words.plain import hanging
    from recipe_track.review.hull.overview import trial_row

    with call.workspace() as ws:
        row = trial_row(ws.current(), trial_id)
    if call.json:
        emit_json("trial-show", trial_json(row))
    else:
        emit(*hanging(trial_text(row)))
    return 0


@trial.command()
@click.argument("trial_id", metavar="ID")
@click.option("--decision", required=True, type=click.Choice(DECISIONS_ABOUT["T"]))
@click.option("--note", metavar="N", default="", help="Why; required.")
@click.option("--same-as", metavar="T-…", help="The observation that it repeats.")
@on_option
@dry_run_option
@common_options
@pass_call
def decide(
    call: Call, trial_id: str, decision: str, note: str, same_as: str | None, on: date, dry_run: bool
) -> int:
    """Contain an observation, or answer it without a change of the recipe."""
    from recipe_track.procedures.trials import decide_trial

    with call.workspace() as ws:
        done = decide_trial(ws, trial_id, decision, note, on, dry_run, same_as)
    return show_done(call, "trial-decide", done)
