"""Every command once, as the stories here call them, in a yard that has something for each of them."""

import shutil
import tempfile
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import click

from recipe_track.cli.main import CALLED_BY_GIT, cli
from tests.journeys.gitrepo import GitRepo
from tests.journeys.yard import REQUIRED, SIDE, Yard, new_yard, thicken

NOT_WALKED = {
    "demo",
    "new",
    "ui",
}  # two make a repository of their own, one is a screen over the same answers
SAID = ("--title", "Stiffen the side deck", "--reason", "too soft underfoot", "--category", "layup")


@dataclass(frozen=True)
class Prepared:
    """A yard in which each command has something to do, and the ids it needs."""

    yard: Yard
    ids: Mapping[str, str]


_FOLDER = tempfile.TemporaryDirectory(prefix="recipe-track-faults-")


def prepared(folder: Path) -> Prepared:
    """Two releases, a hull under way, an observation, a deviation, a change landed, two open; made once."""
    made = _made()
    shutil.copytree(made.yard.root, folder / "yard")
    (folder / "home").mkdir(exist_ok=True)
    return Prepared(Yard(GitRepo(folder / "yard", folder / "home", made.yard.repo.clock)), made.ids)


@cache
def _made() -> Prepared:
    return prepare(Path(_FOLDER.name))


def prepare(folder: Path, settings: str = "", approver: Mapping[str, str] | None = None) -> Prepared:
    """The same, made now, under further settings."""
    more = {"settings": f'format = 1\nmain_branch = "main"\n{settings}'} if settings else {}
    yard = new_yard(folder, required=REQUIRED, hull=False, **more)
    yard.repo.home.mkdir(exist_ok=True)
    ben = {"who": "ben", **(approver or {})}
    _done(yard, "release", "demo", "--from-hull", "001", **ben)
    _done(yard, "hull", "add", "001", "--revision", "r1", "--state", "in-build")
    _done(yard, "hull", "part", "001", "--part", "deck", "--state", "in-mould")
    ids = {"landed": _proposed(yard, 25)}
    _done(yard, "change", "approve", ids["landed"], **ben)
    _done(yard, "release", "demo", "--from-hull", "002", **ben)
    ids["open"] = _proposed(yard, 30)
    ids["other"] = _proposed(yard, 35)
    seen = ("--observation", "noise", "--severity", "2", "--text", "it ticks underfoot")
    ids["trial"] = _done(yard, "trial", "log", "--hull", "001", "--zone", "deck/side", *seen)
    ids["deviation"] = _done(
        yard, "deviation", "report", "001", "--zone", "deck/side", "--type", "nonconformity", "--text", "a ply short",
        "--line", "2", "--action", "left-out",
    )  # fmt: skip
    ids["weighing"] = _done(
        yard, "hull", "weigh", "001", "--part", "deck", "--mass-kg", "24", "--state", "as-demoulded", "--meant",
        "--note", "n",
    )  # fmt: skip
    return Prepared(yard, ids)


def _proposed(yard: Yard, to: float) -> str:
    thicken(yard, to)
    change = _done(yard, "change", "propose", *SAID)
    yard.repo.git("checkout", "--quiet", "HEAD", "--", ".")
    return change


def _done(yard: Yard, *args: str, **more: str) -> str:
    said = yard(*args, **more)
    assert said.status == 0, (args, said.err)
    return said.out.strip()


def reading(one: Prepared) -> Iterator[tuple[str, ...]]:
    """Every command that only looks."""
    root = one.yard.root
    yield from (("check",), ("check", "--staged"), ("check", "--at", "r1"))
    yield from (("figures",), ("figures", "--at", "r1"), ("figures", "deck/side", "--layers"))
    yield from (("compare", "r1", "r2"), ("compare",), ("history",), ("history", "deck/side"))
    yield from (("why", "deck/side"), ("trial", "list"), ("trial", "show", one.ids["trial"]))
    yield from (
        ("change", "list"),
        ("change", "show", one.ids["open"]),
        ("change", "show", one.ids["landed"]),
    )
    yield from (("hull", "list"), ("hull", "show", "001", "--layups"), ("deviation", "list"))
    yield from (("audit",), ("audit", "--all"), ("sheet", "deck", "--hull", "001"), ("bill", "deck"))
    yield from (("dossier", "r1", "r2", "-o", str(root.parent / "a.html")),)
    yield from (("dossier", "--hull", "001", "-o", str(root.parent / "b.html")),)
    yield ("git-textconv", str(root / SIDE))
    message = root.parent / "message"
    message.write_text("x\n\nReason: y\n")
    yield ("git-message", str(message))
    versions = [root.parent / name for name in ("base", "ours", "theirs")]
    for version in versions:
        version.write_bytes((root / SIDE).read_bytes())
    yield ("git-merge", *map(str, versions), "7", SIDE)


def writing(one: Prepared) -> Iterator[tuple[str, ...]]:
    """Every command that writes, in an order in which each may."""
    yield ("trial", "log", "--hull", "001", "--zone", "deck/side", "--observation", "noise", "--severity", "1",
           "--text", "ticks again")  # fmt: skip
    yield ("trial", "decide", one.ids["trial"], "--decision", "left-as-is", "--note", "harmless")
    yield ("deviation", "report", "001", "--zone", "deck/side", "--type", "nonconformity", "--text", "one short",
           "--line", "2", "--action", "left-out")  # fmt: skip
    yield ("deviation", "decide", one.ids["deviation"], "--decision", "refused", "--note", "laid again")
    yield ("action", "record", one.ids["deviation"], "--cause", "haste", "--done", "laid again")
    yield ("record", "correct", one.ids["weighing"], "--set", "mass_kg=25.0", "--note", "misread", "--meant")
    yield (
        "change",
        "verify",
        one.ids["landed"],
        "--hull",
        "001",
        "--outcome",
        "confirmed",
        "--meant",
        "--note",
        "n",
    )
    yield ("hull", "add", "002", "--revision", "r2")
    yield ("hull", "part", "001", "--part", "deck", "--state", "demoulded")
    yield ("hull", "state", "001", "--state", "delivered", "--meant", "--note", "n")
    yield ("hull", "weigh", "001", "--part", "deck", "--mass-kg", "24", "--state", "as-demoulded", "--meant",
           "--note", "n")  # fmt: skip
    thicken(one.yard, 40)
    yield ("change", "propose", *SAID)
    one.yard.repo.git("checkout", "--quiet", "HEAD", "--", ".")
    yield ("change", "reject", one.ids["other"], "--note", "too heavy")
    yield ("change", "approve", one.ids["open"])
    yield ("release", "demo")
    yield ("record", "confirm", one.ids["trial"])
    yield ("git-setup",)
    yield ("git-setup", "--undo")


def who_calls(args: tuple[str, ...]) -> str:
    """Ben decides, Ada does all else."""
    deciding = ("approve", "reject", "decide", "record")
    return "ben" if args[0] == "release" or args[1:2] in [(one,) for one in deciding] else "ada"


def names() -> set[str]:
    """The name of every command, those that git calls among them."""
    return set(_names(cli, "")) | set(CALLED_BY_GIT)


def _names(command: click.Command, name: str) -> Iterator[str]:
    if not isinstance(command, click.Group):
        yield name
        return
    context = click.Context(command)
    for one in command.list_commands(context):
        inner = command.get_command(context, one)
        assert inner is not None
        yield from _names(inner, f"{name} {one}".strip())


def name_of(args: tuple[str, ...]) -> str:
    """The name of the command in a call."""
    two = " ".join(args[:2])
    return two if two in names() else args[0]
