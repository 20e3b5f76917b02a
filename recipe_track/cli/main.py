"""The group of all commands, loaded one by one, and the only place where errors become exit codes."""

import importlib
import os
import sys
from collections.abc import Sequence

import click

from recipe_track import __version__
from recipe_track.cli.options import common_options
from recipe_track.cli.output import AnswerLost, answering, say, show_error, show_problems
from recipe_track.errors import CallError, InvalidRecipe, Refused, RepositoryError, TrackError

# Where each is, and its first paragraph: the list of all of them loads none.
COMMANDS = {
    "new": ("start:new", "Start a recipe repository with a small craft to write over."),
    "demo": (
        "start:demo",
        "Build the example (a fictitious yard and craft) with its history, and compare two of its revisions.",
    ),
    "check": (
        "check:check",
        "Validate the files; every problem as file:line:column, exit status 1 if there is any.",
    ),
    "figures": ("figures:figures", "Weight, stiffness, cost and centre per zone, part and craft."),
    "compare": (
        "compare:compare",
        "Change impact; default: last release → working files. One argument is BEFORE.",
    ),
    "history": (
        "past:history",
        "Revisions with reasons and the course of mass, centre and cost; of a zone also its stiffness.",
    ),
    "why": (
        "past:why",
        "Each layer: since when, by which change, why, on what evidence, approved by whom, and did it work.",
    ),
    "trial": ("trial:trial", "Observations from trials and service."),
    "change": ("change:change", "Changes of a recipe: why, decided by whom, and whether they worked."),
    "release": (
        "change:release",
        "Tag main as the next release of MODEL; refused with problems, holds or uncovered minima.",
    ),
    "hull": ("hull:hull", "Hulls: what each part was built to, step by step, and what it weighs."),
    "deviation": (
        "deviation:deviation",
        "Departures from the recipe: reported by anyone, decided by someone entitled.",
    ),
    "action": (
        "record:action",
        "What was done about a nonconformity, an observation, a hull action or a finding.",
    ),
    "record": (
        "record:record",
        "Records put right: corrected by a new one, or confirmed by the person they name.",
    ),
    "audit": (
        "past:audit",
        "A records audit: every finding with what to do; exit status 1 if there is any. It inspects no hull.",
    ),
    "sheet": (
        "papers:sheet",
        "What goes into the mould: steps from mould side to bag side, cut areas, resin to mix, cautions.",
    ),
    "bill": ("papers:bill", "Materials with built-in and bought quantity, boards, roll lengths and cost."),
    "dossier": (
        "papers:dossier",
        "What a change does, why, whom it reaches, with room for the decision; or a hull's whole life.",
    ),
    "ui": ("compare:ui", "The terminal screens; two revisions may be named, as for `compare`."),
    "git-setup": (
        "git_setup:git_setup",
        "Let git show and merge layups line by line, and check what is committed, in this clone.",
    ),
}
CALLED_BY_GIT = {
    "git-textconv": "git_setup:git_textconv",
    "git-merge": "git_setup:git_merge",
    "git-message": "git_setup:git_message",
}
FINE, PROBLEMS, WRONG_CALL, NO_REPOSITORY, INTERRUPTED = 0, 1, 2, 3, 130


class LazyGroup(click.Group):
    """A group whose commands are imported when they are used."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Names of the commands, in the order a person meets them."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command of that name, imported now."""
        place = COMMANDS[cmd_name][0] if cmd_name in COMMANDS else CALLED_BY_GIT.get(cmd_name)
        if place is None:
            return None
        module, name = place.split(":")
        command = getattr(importlib.import_module(f"recipe_track.cli.{module}"), name)
        assert isinstance(command, click.Command)
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Names and what they do, cut to the room there is."""
        room = formatter.width - 6 - max(map(len, COMMANDS))
        stubs = (click.Command(name, help=words) for name, (_, words) in COMMANDS.items())
        with formatter.section("Commands"):
            formatter.write_dl([(str(stub.name), stub.get_short_help_str(room)) for stub in stubs])


@click.group(cls=LazyGroup, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="recipe-track", message="%(prog)s %(version)s")
@common_options
def cli() -> None:
    """Laminate recipes in git: what a revision changes, what it does, and why.

    \b
    Try:  recipe-track demo
          recipe-track compare r7 r8
          recipe-track why deck/deck-support

    Figures are estimates for comparing revisions; scantlings stay with the standard that applies and with a
    qualified designer or the certification body.
    """


def run(args: Sequence[str]) -> int:
    """Run one command; returns its exit status and never raises for what a person can mend."""
    try:
        status = cli.main(args=list(args), prog_name="recipe-track", standalone_mode=False)
        with answering():
            sys.stdout.flush()
        return status if isinstance(status, int) else FINE
    except BrokenPipeError:
        _write_no_more()
        return FINE
    except (KeyboardInterrupt, click.Abort):
        say("interrupted")
        return INTERRUPTED
    except click.ClickException as error:
        error.show()
        return WRONG_CALL
    except AnswerLost as error:
        _write_no_more()
        show_error(error)
        return NO_REPOSITORY
    except TrackError as error:
        return _told(error)
    except OSError as error:  # a full disk, a folder that may not be written
        _write_no_more()
        say(f"recipe-track: {error.filename or 'something could not be read or written'}: {error.strerror}")
        return NO_REPOSITORY


def _write_no_more() -> None:
    """Let what is left of the output go nowhere, or it would be tried again on leaving."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _told(error: TrackError) -> int:
    show_error(error)
    if isinstance(error, InvalidRecipe):
        show_problems(error.problems)
        return PROBLEMS
    if isinstance(error, Refused):
        return PROBLEMS
    if isinstance(error, RepositoryError):
        return NO_REPOSITORY
    return WRONG_CALL if isinstance(error, CallError) else PROBLEMS
