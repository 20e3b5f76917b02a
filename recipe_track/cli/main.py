"""The group of all commands, loaded one by one, and the only place where errors become exit codes."""

import importlib
import os
import sys
from collections.abc import Sequence
from contextlib import nullcontext

import click

from recipe_track import __version__
from recipe_track.cli.options import common_options
from recipe_track.cli.output import say, show_error, show_problems, show_unexpected
from recipe_track.cli.waiting import INTERRUPTED, watched
from recipe_track.errors import CallError, InvalidRecipe, Refused, RepositoryError, TrackError

COMMANDS = {
    "new": "start:new",
    "demo": "start:demo",
    "check": "check:check",
    "figures": "figures:figures",
    "compare": "compare:compare",
    "history": "past:history",
    "why": "past:why",
    "trial": "trial:trial",
    "change": "change:change",
    "release": "change:release",
    "hull": "hull:hull",
    "deviation": "deviation:deviation",
    "action": "record:action",
    "record": "record:record",
    "audit": "past:audit",
    "sheet": "papers:sheet",
    "bill": "papers:bill",
    "dossier": "papers:dossier",
    "ui": "compare:ui",
    "git-setup": "git_setup:git_setup",
}
CALLED_BY_GIT = {
    "git-textconv": "git_setup:git_textconv",
    "git-merge": "git_setup:git_merge",
    "git-message": "git_setup:git_message",
}
FINE, PROBLEMS, WRONG_CALL, NO_REPOSITORY = 0, 1, 2, 3


class LazyGroup(click.Group):
    """A group whose commands are imported when they are used."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Names of the commands, in the order a person meets them."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command of that name, imported now."""
        place = COMMANDS.get(cmd_name) or CALLED_BY_GIT.get(cmd_name)
        if place is None:
            return None
        module, name = place.split(":")
        command = getattr(importlib.import_module(f"recipe_track.cli.{module}"), name)
        assert isinstance(command, click.Command)
        return command


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
        # The screens have keys and an end of their own.
        with nullcontext() if "ui" in args else watched():
            status = cli.main(args=list(args), prog_name="recipe-track", standalone_mode=False)
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
    except TrackError as error:
        return _told(error)
    except MemoryError:
        say("recipe-track: there is not enough memory for this")
        return NO_REPOSITORY
    except OSError as error:  # a full disk, a folder that may not be written
        _write_no_more()
        say(f"recipe-track: {error.filename or 'the answer cannot be written'}: {error.strerror}")
        return NO_REPOSITORY
    except Exception as error:
        show_unexpected(error)
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
