"""Set up one clone: a diff driver, a merge driver and two hooks, all of it outside the tracked tree."""

import os
import stat
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from recipe_track.errors import RepositoryError
from recipe_track.history.own_commands import DRIVER, merge_command, program
from recipe_track.history.repository import Repository
from recipe_track.history.settings import attributes_file, hooks_folder, set_setting, setting

HOOK_HEAD = "#!/bin/sh\n# by recipe-track; taken away by `recipe-track git-setup --undo`\n"
EXECUTABLE = 0o755


@dataclass(frozen=True, slots=True)
class SettingChange:
    """A key of this clone's configuration, as it is and as it shall be; None is not there."""

    key: str
    before: str | None
    after: str | None


@dataclass(frozen=True, slots=True)
class SetupFile:
    """A file under the git directory, as it is and as it shall be; None is not there."""

    path: Path
    before: str | None
    after: str | None
    mode: int | None = None


@dataclass(frozen=True, slots=True)
class LeftAlone:
    """Something that is not touched, why, and the lines to add by hand, if any."""

    path: Path
    reason: str
    lines: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Setup:
    """All that is to be done in a clone, and what is left to its owner."""

    settings: tuple[SettingChange, ...]
    files: tuple[SetupFile, ...]
    left: tuple[LeftAlone, ...]


def plan_setup(repo: Repository, undo: bool = False) -> Setup:
    """What has to change in this clone; nothing where it is set up, or not set up, already."""
    wanted = {
        f"diff.{DRIVER}.textconv": textconv_command(),
        f"diff.{DRIVER}.xfuncname": FUNCTION_LINES,
        f"merge.{DRIVER}.name": "layups of recipe-track, line by line",
        f"merge.{DRIVER}.driver": merge_command(),
    }
    settings = (SettingChange(k, setting(repo, k), None if undo else v) for k, v in wanted.items())
    planned = [_attributes(repo, undo), *_hooks(repo, undo)]
    files = (one for one in planned if isinstance(one, SetupFile) and one.before != one.after)
    left = (one for one in planned if isinstance(one, LeftAlone))
    return Setup(tuple(s for s in settings if s.before != s.after), tuple(files), tuple(left))


def carry_out(repo: Repository, setup: Setup) -> None:
    """Write what was planned: the drivers first, then what makes git use them."""
    for change in setup.settings:
        if change.after is not None:
            set_setting(repo, change.key, change.after)
    for file in setup.files:
        _write(file)
    for change in setup.settings:
        if change.after is None:
            set_setting(repo, change.key, None)


def _attributes(repo: Repository, undo: bool) -> SetupFile | LeftAlone:
    path = attributes_file(repo)
    if path.is_symlink():
        lines = () if undo else ATTRIBUTES[1:-1]
        return LeftAlone(path, "it is a link to another file", lines)
    before = _text(path)
    kept = _without_block((before or "").splitlines(keepends=True))
    if kept and not kept[-1].endswith("\n"):
        kept[-1] += "\n"
    after = "".join([*kept, *(() if undo else (f"{line}\n" for line in ATTRIBUTES))])
    return SetupFile(path, before, after or None)


def _without_block(lines: Iterable[str]) -> list[str]:
    kept, inside = [], False
    for line in lines:
        if line.rstrip() == ATTRIBUTES[0]:
            inside = True
        if not inside:
            kept.append(line)
        if line.rstrip() == ATTRIBUTES[-1]:
            inside = False
    return kept


def _hooks(repo: Repository, undo: bool) -> Iterator[SetupFile | LeftAlone]:
    folder = hooks_folder(repo)
    for name, line in hook_lines().items():
        reason = _why_not(repo, folder, folder / name, line)
        if reason is None:
            after = None if undo else f"{HOOK_HEAD}{line}\n"
            yield SetupFile(folder / name, _text(folder / name), after, EXECUTABLE)
        elif not undo:
            yield LeftAlone(folder / name, reason, () if repo.bare else (line,))
        elif "recipe_track" in (_text(folder / name) or ""):
            yield LeftAlone(folder / name, "it holds a line for recipe-track that was added by hand")


def _why_not(repo: Repository, folder: Path, hook: Path, line: str) -> str | None:
    """Why a hook is not ours to write or to take away."""
    if repo.bare:
        return "nobody commits in a bare repository"
    if not folder.resolve().is_relative_to(repo.common_dir.resolve()):
        return "git looks for hooks outside this clone's git directory (core.hooksPath)"
    if hook.is_symlink():
        return "it is a link to another file"
    text = _text(hook)
    if text is not None and not _is_ours(text, line):
        return "there is a hook already"
    return None


def _is_ours(text: str, line: str) -> bool:
    """Whether a hook is one we wrote, perhaps for a program that lay elsewhere."""
    own_part = line[line.index(" -m recipe_track") :]
    rest = text.removeprefix(HOOK_HEAD)
    return rest != text and rest.count("\n") == 1 and rest.endswith(f"{own_part}\n")


def _text(path: Path) -> str | None:
    try:
        return path.read_text("utf-8", "surrogateescape")
    except (FileNotFoundError, NotADirectoryError):  # core.hooksPath may be /dev/null
        return None
    except OSError as error:
        raise RepositoryError(f"{path} cannot be read: {error.strerror}") from error


def _write(file: SetupFile) -> None:
    """Write beside and rename into place, so that git never meets half a file."""
    if file.after is None:
        file.path.unlink()
        return
    file.path.parent.mkdir(parents=True, exist_ok=True)
    beside = file.path.with_name(f".{file.path.name}.{os.getpid()}")
    beside.write_text(file.after, "utf-8", "surrogateescape")
    mode = file.mode or (stat.S_IMODE(file.path.stat().st_mode) if file.before is not None else None)
    if mode is not None:
        beside.chmod(mode)
    beside.replace(file.path)


ATTRIBUTES = (
    "# recipe-track: begin; taken out by `recipe-track git-setup --undo`",
    f"/models/**/*.toml diff={DRIVER} merge={DRIVER}",
    f"/materials/*.toml diff={DRIVER} merge={DRIVER}",
    f"/prices.toml diff={DRIVER} merge={DRIVER}",
    "# recipe-track: end",
)
# The table or list that a hunk lies in, read off the text that the diff driver makes.
FUNCTION_LINES = r"^(\[+[^]]+\]+|[a-z][a-z0-9_]*)( *= *[[{])?[ \t]*(#.*)?$"


def textconv_command() -> str:
    """The diff driver; where the program has gone, the file is shown as it is."""
    return f'f() {{ {program()} git-textconv "$1" || cat "$1"; }}; f'


def hook_lines() -> dict[str, str]:
    """The line of each hook; git asks another one before it commits a merge; the last one only warns."""
    checking = f"{program()} check --staged || exit 1"
    return {
        "pre-commit": checking,
        "pre-merge-commit": checking,
        "commit-msg": f'{program()} git-message "$1" || true',
    }
