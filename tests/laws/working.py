"""A yard's ordinary weeks: what three people do with the program and plain git, honestly, act by act.

Each act takes a clone on main with nothing in progress, and leaves it so; what git or the program refuses is
given up. Ids of records are drawn by the story, so that a seed tells it again.
"""

import random
import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from unittest import mock

from recipe_track.procedures import writing
from tests.journeys.gitrepo import PEOPLE
from tests.journeys.team import Clone, Team, new_team

WHO = tuple(PEOPLE)
WAYS = ("--no-rebase", "--rebase", "--rebase=merges")
ROUNDS = 6  # of pulling and pushing, until all have one commit
# Numbers that stay in order when they become a little larger.
NUMBER = re.compile(
    r"\b(thickness_mm|overlap_fraction|area_m2|angle_deg|length_mm|pressure_kpa|per_kg|per_m2|per_m3"
    r"|labour_per_hour|e_axial_gpa|e_gpa|density_kg_m3|line_resin_kg|setup_hours) = (\d+(?:\.\d+)?)"
)
NEXT_STATE = {"planned": "kit-cut", "kit-cut": "in-mould", "in-mould": "demoulded", "demoulded": "fitted"}
CHANGE = ("--title", "Work on it", "--reason", "too soft underfoot", "--category", "layup")


@dataclass
class Story:
    """Three clones at work, and what they have done: changes with their commits, records, refusals."""

    team: Team
    made: int = 0
    commits: dict[str, tuple[str, str]] = field(default_factory=dict)  # proposal and decision
    approved: list[str] = field(default_factory=list)
    records: list[tuple[str, str]] = field(default_factory=list)  # id and who wrote it
    refused: list[str] = field(default_factory=list)

    @property
    def clones(self) -> list[Clone]:
        """Ada's, Ben's and Cem's."""
        return list(self.team.clones.values())

    def said(self, clone: Clone, *args: str, who: str = "") -> str | None:
        """The id that a command answers; None where it refuses."""
        said = clone(*args, who=who)
        if said.status:
            self.refused.append(f"{' '.join(args)}: {said.err}")
            return None
        return said.id

    def log(self, clone: Clone, *args: str) -> None:
        """Have a record written, and remember it."""
        name = self.said(clone, *args)
        if name is not None:
            self.records.append((name, clone.who))


def others(clone: Clone) -> tuple[str, ...]:
    """The other two."""
    return tuple(who for who in WHO if who != clone.who)


# The recipe.


def edit(story: Story, clone: Clone, at: int, files: int = 1) -> None:
    """Make numbers in some governed files a little larger, to values that were never there."""
    paths = sorted(
        path
        for path in clone.root.glob("**/*.toml")
        if path.relative_to(clone.root).parts[0] in ("models", "materials", "prices.toml")
        and NUMBER.search(path.read_text("utf-8"))
    )
    for k in range(files):
        story.made += 1
        path = paths[(at // 7 + 3 * k) % len(paths)]
        text = path.read_bytes().decode()
        found = list(NUMBER.finditer(text))
        number = found[at % len(found)]
        value = f"{float(number[2]) * 1.001 + 1e-4 * story.made:.5f}"
        path.write_bytes((text[: number.start(2)] + value + text[number.end(2) :]).encode())


def propose(story: Story, clone: Clone, *options: str) -> str | None:
    """Propose what the work tree holds; it is as main again."""
    change = story.said(clone, "change", "propose", *CHANGE, *options)
    clone.git("reset", "--quiet", "--hard")
    clone.git("clean", "--quiet", "-fd")
    return change


def approve(story: Story, clone: Clone, change: str | None, who: str) -> bool:
    """Approve a proposal; remember its commits."""
    if change is None or story.said(clone, "change", "approve", change, who=who) is None:
        return False
    decision = clone.head("main^2")
    story.commits[change] = clone.head(f"{decision}^"), decision
    story.approved.append(change)
    return True


def do_change(story: Story, clone: Clone, at: int) -> None:
    """Propose and have it approved at the same desk."""
    edit(story, clone, at, 1 + at % 2)
    approve(story, clone, propose(story, clone), others(clone)[at % 2])


def do_change_across(story: Story, clone: Clone, at: int) -> None:
    """Propose, push the branch, and have it approved in another clone."""
    edit(story, clone, at)
    change = propose(story, clone)
    other = story.team.clone(others(clone)[at % 2])
    if change is not None:
        clone.push(f"change/{change}")
        other.git("fetch", "--quiet")
        approve(story, other, change, other.who)


def do_reject(story: Story, clone: Clone, at: int) -> None:
    """Propose, and have it turned down."""
    edit(story, clone, at)
    change = propose(story, clone)
    if change is not None:
        story.said(clone, "change", "reject", change, "--note", "not now", who=others(clone)[at % 2])


def do_by_hand(story: Story, clone: Clone, at: int) -> None:
    """Edit main by hand, say why afterwards, and have that decided."""
    edit(story, clone, at)
    explain(story, clone, clone.commit("by hand"))


def explain(story: Story, clone: Clone, commit: str) -> bool:
    """Say why main was edited and have that decided by someone who had no hand in it."""
    change = story.said(clone, "change", "propose", "--landed", commit, *CHANGE)
    return change is not None and any(
        story.said(clone, "change", "approve", change, who=who) is not None for who in others(clone)
    )


def do_rename(story: Story, clone: Clone, at: int) -> None:
    """Give a zone another name by a change that is decided."""
    zones = [p for p in sorted(clone.root.glob("models/demo/*/*.toml")) if p.name != "part.toml"]
    path = zones[at % len(zones)]
    text = path.read_bytes().decode()
    if "formerly" in text:
        return
    story.made += 1
    name = f"{path.parent.name}/{path.stem}"
    path.unlink()
    path.with_name(f"zone-{story.made}.toml").write_bytes(f'formerly = ["{name}"]\n{text}'.encode())
    approve(story, clone, propose(story, clone), others(clone)[0])


def do_line_ends(story: Story, clone: Clone, at: int) -> None:
    """Store a file with the other line ends."""
    paths = sorted(clone.root.glob("m*/**/*.toml"))
    path = paths[at % len(paths)]
    text = path.read_bytes()
    path.write_bytes(text.replace(b"\r\n", b"\n") if b"\r\n" in text else text.replace(b"\n", b"\r\n"))
    clone.commit("line ends")


def do_take_back(story: Story, clone: Clone, at: int) -> None:
    """Revert a change by a change; once all are in step, for git would revive a copy still on its way.

    No rename: one that is taken back without a `formerly` of its own is another file.
    """
    if not in_step(story):
        return
    here = set(clone.git("rev-list", "main").split())
    held = [change for change, (proposal, _) in story.commits.items() if proposal in here]
    if not held:
        return
    change = held[at % len(held)]
    if "formerly" in clone.git("show", "--format=", story.commits[change][0], "--", "models"):
        return
    if clone.run("revert", "--no-commit", story.commits[change][0]).returncode == 0:
        clone.git("reset", "--quiet")
        clone.run("checkout", "--quiet", "HEAD", "--", "records")
        clone.git("clean", "--quiet", "-fd", "records")
        approve(story, clone, propose(story, clone), others(clone)[at % 2])
    give_up(clone, "HEAD")


# The shop.


def hulls(clone: Clone) -> list[str]:
    """The hulls that a clone knows."""
    return sorted(path.stem for path in clone.root.glob("hulls/*.toml"))


def zone_on(clone: Clone, hull: str, at: int) -> str:
    """A zone as a hull has it."""
    shown = clone("hull", "show", hull, "--layups", "--json").json
    names = sorted(zone["zone"] for part in shown["parts"] for zone in part["zones"])
    return str(names[at % len(names)])


def do_log(story: Story, clone: Clone, at: int) -> None:
    """Log something that is no hold."""
    hull = hulls(clone)[at % len(hulls(clone))]
    words = ("--zone", zone_on(clone, hull, at), "--observation", "crack", "--text", "a crack")
    story.log(clone, "trial", "log", "--hull", hull, *words, "--severity", str(1 + at % 3))


def do_deviate(story: Story, clone: Clone, at: int) -> None:
    """Ask for leave to deviate, and get it."""
    hull = hulls(clone)[at % len(hulls(clone))]
    words = ("--zone", zone_on(clone, hull, at), "--type", "deviation-permit", "--text", "short of cloth")
    name = story.said(clone, "deviation", "report", hull, *words)
    if name is not None:
        story.said(clone, "deviation", "decide", name, "--decision", "accepted", who=others(clone)[at % 2])


def do_weigh(story: Story, clone: Clone, at: int) -> None:
    """Put a part on the scales; now and then correct that."""
    hull = hulls(clone)[at % len(hulls(clone))]
    words = ("--part", "deck", "--mass-kg", f"{24 + at % 9}", "--state", "trimmed", "--meant", "--note", "so")
    name = story.said(clone, "hull", "weigh", hull, *words)
    if name is not None and at % 3 == 0:
        note = ("--note", "misread", "--meant", "--on", clone.yard.repo.today)
        story.said(clone, "record", "correct", name, "--set", "mass_kg=23", *note)


def do_step(story: Story, clone: Clone, at: int) -> None:
    """Move a part of a hull on."""
    hull = hulls(clone)[at % len(hulls(clone))]
    parts = clone("hull", "show", hull, "--json").json["parts"]
    part = parts[at // 4 % len(parts)]
    if part["state"] in NEXT_STATE:
        words = ("--part", part["part"], "--state", NEXT_STATE[part["state"]])
        story.log(clone, "hull", "part", hull, *words)


def do_hull(story: Story, clone: Clone, at: int) -> None:
    """Plan a hull to the last release."""
    story.made += 1
    last = max(int(tag.split("r")[-1]) for tag in clone.git("tag", "--list", "demo/r*").split())
    story.said(clone, "hull", "add", f"{100 + story.made}", "--revision", f"r{last}")


def do_release(story: Story, clone: Clone, at: int) -> None:
    """Release and share it at once; where someone else was first, take theirs and release again."""
    for _ in range(2):
        label = story.said(clone, "release", "demo")
        if label is None:
            return
        tag = f"demo/{label}"
        if clone.run("push", "--quiet", "--atomic", "origin", "main", tag).returncode == 0:
            return
        clone.git("tag", "--delete", tag)
        clone.git("fetch", "--quiet", "--force", "--tags")
        if clone.run("pull", "--quiet", "--no-rebase").returncode:
            give_up(clone, "HEAD")
            return


# Git.


def give_up(clone: Clone, before: str) -> None:
    """Back to main as it was."""
    for command in ("merge", "rebase", "cherry-pick", "revert"):
        clone.run(command, "--abort")
    clone.git("checkout", "--quiet", "--force", "main")
    clone.git("reset", "--quiet", "--hard", before)
    clone.git("clean", "--quiet", "-fd")


def do_sync(story: Story, clone: Clone, at: int) -> None:
    """Pull in one of the ways there are, then push."""
    before = clone.head()
    if clone.run("pull", "--quiet", WAYS[at % 3]).returncode:
        give_up(clone, before)
    elif at // 3 % 3:
        clone.run("push", "--quiet", "origin", "main")


def do_cross(story: Story, clone: Clone, at: int) -> None:
    """Merge someone's main without going over the remote."""
    before = clone.head()
    if clone.run("pull", "--quiet", "--no-rebase", f"../{others(clone)[at % 2]}", "main").returncode:
        give_up(clone, before)


def foreign(story: Story, clone: Clone, at: int) -> tuple[str, str] | None:
    """The commits of a change that another has on their main and this clone lacks."""
    clone.git("fetch", "--quiet", f"../{others(clone)[at % 2]}", "main")
    here = set(clone.git("rev-list", "main").split())
    there = set(clone.git("rev-list", "FETCH_HEAD").split()) - here
    found = [pair for pair in story.commits.values() if set(pair) <= there]
    return found[at % len(found)] if found else None


def do_pick(story: Story, clone: Clone, at: int) -> None:
    """Cherry-pick a proposal with its decision."""
    wanted, before = foreign(story, clone, at), clone.head()
    if wanted and clone.run("cherry-pick", "--allow-empty", "--keep-redundant-commits", *wanted).returncode:
        give_up(clone, before)


def do_squash(story: Story, clone: Clone, at: int) -> None:
    """Squash a decided proposal, and whatever it stands on, in one's own name."""
    wanted, before = foreign(story, clone, at), clone.head()
    if wanted is None:
        return
    if clone.run("merge", "--quiet", "--squash", wanted[1]).returncode:
        give_up(clone, before)
    else:
        clone.commit("squashed")


ACTS: Mapping[str, Callable[[Story, Clone, int], None]] = {
    "change": do_change,
    "across": do_change_across,
    "reject": do_reject,
    "by hand": do_by_hand,
    "rename": do_rename,
    "line ends": do_line_ends,
    "take back": do_take_back,
    "log": do_log,
    "deviate": do_deviate,
    "weigh": do_weigh,
    "step": do_step,
    "hull": do_hull,
    "release": do_release,
    "sync": do_sync,
    "cross": do_cross,
    "pick": do_pick,
    "squash": do_squash,
}
OFTEN = ("change",) * 3 + ("sync",) * 4 + ("step", "log", "across", "pick", "squash", "cross", *ACTS)
Act = tuple[str, int, int]  # what, in which clone, and a number that decides the rest


# In step.


def settle(story: Story, clone: Clone, theirs: bool) -> None:
    """Pull by merge; where git asks for a hand, let one side win and say so, or else give up one's own."""
    if clone.run("pull", "--quiet", "--no-rebase").returncode == 0:
        return
    give_up(clone, "HEAD")
    side = "theirs" if theirs else "ours"
    if clone.run("merge", "--quiet", "--no-edit", "-X", side, "origin/main").returncode:
        give_up(clone, "origin/main")
        return
    merge = clone.head()
    if "edit-not-decided" in clone.findings() and not explain(story, clone, merge):
        give_up(clone, "origin/main")


def in_step(story: Story) -> bool:
    """Bring all clones to one commit and the same tags."""
    for n in range(ROUNDS):
        for clone in story.clones:
            settle(story, clone, bool(n % 2))
            clone.run("push", "--quiet", "origin", "main")
        if len({clone.head() for clone in story.clones}) == 1:
            break
    for clone in story.clones:
        clone.git("fetch", "--quiet", "--force", "--tags")
    return len({clone.head() for clone in story.clones}) == 1


def tidy_up(story: Story) -> None:
    """What honest people do once they are in step: confirm, settle what disagrees, verify what was built."""
    for clone in story.clones:
        found = clone.findings()
        own = [
            one["remedy"].rsplit(" ", 1)[1].strip("`")
            for one in found.get("record-by-another", ())
            if f"<{PEOPLE[clone.who][1]}>" in one["remedy"]
        ]
        if own:
            story.said(clone, "record", "confirm", *own)
            share(story, clone)
    clone = story.clones[0]
    for one in clone.findings().get("steps-disagree", ()):
        hull, part = one["subject"].removeprefix("hull ").split(", ")
        state = next(p for p in clone("hull", "show", hull, "--json").json["parts"] if p["part"] == part)
        words = ("--part", part, "--state", state["state"], "--note", "as it lies there", "--meant")
        story.said(clone, "hull", "part", hull, *words)
    for one in clone.findings().get("change-unverified", ()):
        hull = one["remedy"].split("--hull ")[1].split(" ")[0]
        story.said(clone, "change", "verify", one["subject"], "--hull", hull, "--outcome", "confirmed")
    share(story, clone)


def share(story: Story, clone: Clone) -> None:
    """Let all have what one has."""
    clone.push()
    for other in story.clones:
        if other is not clone:
            other.pull()


def told(folder: Path, seed: int, acts: Iterable[Act]) -> Story:
    """A story played out in three clones of its own, which are in step at the end."""
    with drawn(seed):
        story = Story(new_team(folder))
        for what, which, at in acts:
            ACTS[what](story, story.clones[which], at)
        assert in_step(story)
        tidy_up(story)
        for clone in story.clones:  # proposals that nobody else has seen
            for branch in clone.git("branch", "--list", "--format=%(refname:short)", "change/*").split():
                clone.git("branch", "--quiet", "-D", branch)
    return story


@contextmanager
def drawn(seed: int) -> Iterator[None]:
    """Ids of records drawn by a seed."""
    with mock.patch.object(writing, "secrets", random.Random(seed)):
        yield


def answers(story: Story, clone: Clone) -> dict[str, Any]:
    """Everything that a clone says of main, its hulls, its zones and the changes of the story."""
    zones = sorted(
        f"{path.parent.name}/{path.stem}"
        for path in clone.root.glob("models/demo/*/*.toml")
        if path.name != "part.toml"
    )
    asked: list[Sequence[str]] = [("history",), ("change", "list"), ("trial", "list"), ("hull", "list")]
    asked += [("why", zone) for zone in zones] + [("history", zone) for zone in zones]
    asked += [("hull", "show", hull) for hull in hulls(clone)]
    asked += [("change", "show", change) for change in story.approved if _is_there(clone, change)]
    said = {" ".join(args): clone(*args, "--json") for args in asked}
    audit = clone("audit", "--json").json
    return {name: (one.status, one.out, one.err) for name, one in said.items()} | {
        "audit": {key: audit[key] for key in ("findings", "answered")}
    }


def _is_there(clone: Clone, record: str) -> bool:
    return any(clone.root.glob(f"records/*/{record}.toml"))


# Leaning on it.


def tamper(clone: Clone, draw: random.Random, few: bool) -> tuple[str, ...]:
    """Put one other byte into governed files, records and hull files, one each, by an ordinary commit."""
    listed = clone.git("ls-files", "models", "materials", "prices.toml", "*.toml").split("\n")
    paths = sorted({path for path in listed if path.endswith(".toml")})
    chosen = tuple(draw.sample(paths, 1)) if few else tuple(paths)
    for path in chosen:
        file = clone.root / path
        file.write_bytes(one_byte_other(file.read_bytes(), draw))
    clone.commit("nothing to see here")
    return chosen


def one_byte_other(text: bytes, draw: random.Random) -> bytes:
    """A text with one byte replaced, put in or taken out, in more than its line ends."""
    while True:
        at, fresh = draw.randrange(len(text)), bytes([draw.randrange(256)])
        other = (
            text[:at] + fresh + text[at + 1 :],
            text[:at] + fresh + text[at:],
            text[:at] + text[at + 1 :],
        )[draw.randrange(3)]
        if other.replace(b"\r\n", b"\n") != text.replace(b"\r\n", b"\n"):
            return other
