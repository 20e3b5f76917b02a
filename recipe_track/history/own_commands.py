"""The command lines by which git starts this program, and the one that stands in for it."""

import shlex
import site
import sys
import sysconfig
from pathlib import Path

import recipe_track
from recipe_track.errors import Refused

DRIVER = "recipe-track"
GIT_MERGE = "git merge-file --quiet --marker-size=%L -L ours -L base -L theirs %A %O %B"


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


def merge_command() -> str:
    """The merge driver; where the program has gone and so left no conflict markers, git's own merge."""
    ours = program().replace("%", "%%")
    return f"{ours} git-merge %O %A %B %L %P || {{ ! grep -q '^<<<<<<<' %A && {GIT_MERGE}; }} || exit 1"
