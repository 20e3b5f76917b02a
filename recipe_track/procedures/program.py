"""How git starts this program again: command lines for a shell, safe whatever the program's path is.

Python never looks for modules in the folder git happens to run it in (-P): the files of a repository that
was cloned must not become code that runs on a `git diff`.
"""

import shlex
import site
import sys
import sysconfig
from pathlib import Path

import recipe_track
from recipe_track.errors import Refused

DRIVER = "recipe-track"
# The table or list that a hunk lies in, read off the text that the diff driver makes.
FUNCTION_LINES = r"^(\[+[^]]+\]+|[a-z][a-z0-9_]*)( *= *[[{])?[ \t]*(#.*)?$"


def program() -> str:
    """The start of every command line; a source folder that Python does not find by itself is named."""
    source = Path(recipe_track.__file__).resolve().parents[1]
    words = [shlex.quote(sys.executable), "-P", "-m", "recipe_track"]
    if not sys.executable or "\n" in sys.executable or "\n" in str(source):
        raise Refused(
            "git cannot be told how to start this program: its path is not known or holds a line end"
        )
    if source not in _searched():
        words.insert(0, f"PYTHONPATH={shlex.quote(str(source))}")
    return " ".join(words)


def _searched() -> set[Path]:
    """Folders of installed packages."""
    folders = (sysconfig.get_path("purelib"), sysconfig.get_path("platlib"), site.getusersitepackages())
    return {Path(folder).resolve() for folder in folders}


def textconv_command() -> str:
    """The diff driver; where the program has gone, the file is shown as it is."""
    return f'f() {{ {program()} git-textconv "$1" || cat "$1"; }}; f'


def merge_command() -> str:
    """The merge driver; where the program has gone and so left no conflict markers, git's own merge."""
    ours = program().replace("%", "%%")
    git = "git merge-file --quiet --marker-size=%L -L ours -L base -L theirs %A %O %B"
    return f"{ours} git-merge %O %A %B %L %P || {{ ! grep -q '^<<<<<<<' %A && {git}; }} || exit 1"


def hook_lines() -> dict[str, str]:
    """The line of each hook; git asks another one before it commits a merge; the last one only warns."""
    checking = f"{program()} check --staged || exit 1"
    return {
        "pre-commit": checking,
        "pre-merge-commit": checking,
        "commit-msg": f'{program()} git-message "$1" || true',
    }
