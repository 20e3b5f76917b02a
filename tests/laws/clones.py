"""Three clones and a bare remote, in which people work with ordinary git; some of them are not honest."""

import shutil
import subprocess
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from recipe_track.history.repository import open_repository
from recipe_track.trail import Change, Edit, Verdict
from recipe_track.workspace.covering import covering
from tests.journeys.gitrepo import PEOPLE, environment, neutral_environment

WHO = ("ada", "ben", "cem")
ZONES = ("models/m/hull/bottom.toml", "models/m/hull/side.toml", "models/m/deck/side.toml")
PATHS = (*ZONES, "materials/biax.toml", "prices.toml")
FIRST_SECOND = 1767225600


def zone(name: str) -> str:
    """A zone whose lines differ enough for git to tell them apart, with two equal layers among them."""
    layers = [f'  {{ material = "{name}-{n}00", angle_deg = {15 * n}, plies = 1 }},\n' for n in range(8)]
    layers.insert(4, layers[3])
    keys = "area_m2 = 2.4\ncentroid_m = [0.0, 0.0, 0.0]\n"
    return f'{keys}layup = [\n{"".join(layers)}]\nnote = "a"\nextent = "b"\ndrawing = "c"\n'


def plain(name: str) -> str:
    """A file of single keys."""
    return f'name = "{name}"\n' + "".join(f"key_{n} = {n}.0\n" for n in range(12))


FILES = {
    "recipe-track.toml": "format = 1\n\n[csv]\nseparator = 1\n\n[approval]\nsigned = false\n",
    "models/m/model.toml": 'name = "m"\n',
    "models/m/hull/part.toml": 'name = "hull"\n',
    "models/m/deck/part.toml": 'name = "deck"\n',
    **{path: zone(f"fabric{n}") for n, path in enumerate(ZONES)},
    "materials/biax.toml": plain("biax"),
    "prices.toml": plain("prices"),
    "README.md": "a yard\n",
}
ORIGINAL = {line for text in FILES.values() for line in text.splitlines()}


@dataclass
class Clone:
    """One person's clone; what cannot be done cleanly is given up, as if it had never been tried."""

    yard: "Yard"
    who: str
    root: Path

    def run(self, *args: str, ok: bool = True, stdin: bytes = b"") -> "subprocess.CompletedProcess[bytes]":
        """Run git here, an hour later."""
        done = subprocess.run(
            ["git", *args], cwd=self.root, env=self.yard.env(self.who), input=stdin,
            capture_output=True, check=False,
        )  # fmt: skip
        assert done.returncode == 0 or not ok, (
            f"git {' '.join(args)}: {done.stderr.decode()} {done.stdout.decode()}"
        )
        return done

    def git(self, *args: str) -> str:
        """What git prints."""
        return self.run(*args).stdout.decode().strip()

    def tries(self, *args: str) -> bool:
        """Whether git could."""
        return self.run(*args, ok=False).returncode == 0

    def head(self) -> str:
        """The commit checked out."""
        return self.git("rev-parse", "HEAD")

    def read(self, path: str) -> str | None:
        """A file of the work tree, line ends as they are."""
        file = self.root / path
        return file.read_bytes().decode() if file.exists() else None

    def write(self, path: str, text: str | None) -> None:
        """Write a file of the work tree, or take it away."""
        file = self.root / path
        if text is None:
            file.unlink()
            return
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_bytes(text.encode())

    def commit(self, message: str, *options: str) -> str:
        """Commit everything."""
        self.git("add", "--all")
        self.git("commit", "--quiet", "--allow-empty", *options, "-m", message)
        return self.head()

    def edits(self, before: str, after: str = "HEAD") -> list[Edit]:
        """The governed edits between two commits."""
        roots = ("models", "materials", "prices.toml", "recipe-track.toml")
        out = self.git("diff-tree", "-r", "--no-renames", "--no-abbrev", before, after, "--", *roots)
        return [_edit(line) for line in out.splitlines()]

    def files(self) -> list[str]:
        """The governed files here that people edit."""
        found = [path.relative_to(self.root).as_posix() for path in self.root.glob("m*/**/*.toml")]
        return sorted(
            path for path in [*found, "prices.toml"] if path.split("/")[-1] not in ("part.toml", "model.toml")
        )


def _edit(line: str) -> Edit:
    meta, path = line.split("\t")
    _, _, before, after, _ = meta.split(" ")
    return Edit(path, before.strip("0") and before, after.strip("0") and after)


@dataclass
class Yard:
    """All clones, and what the records hold: edits by change, texts by blob."""

    folder: Path
    clock: int = FIRST_SECOND
    edits: dict[str, tuple[Edit, ...]] = field(default_factory=dict)
    texts: dict[str, bytes] = field(default_factory=dict)
    count: int = 0

    @property
    def clones(self) -> list[Clone]:
        """Ada's, Ben's and Cem's."""
        return [Clone(self, who, self.folder / who) for who in WHO]

    def env(self, who: str) -> dict[str, str]:
        """A neutral environment in which someone works, an hour later each time."""
        self.clock += 3600
        name, mail = PEOPLE[who]
        date = f"@{self.clock} +0000"
        return neutral_environment(self.folder / "home") | {
            "GIT_AUTHOR_NAME": name, "GIT_AUTHOR_EMAIL": mail, "GIT_AUTHOR_DATE": date,
            "GIT_COMMITTER_NAME": name, "GIT_COMMITTER_EMAIL": mail, "GIT_COMMITTER_DATE": date,
            "GIT_EDITOR": "true", "GIT_MERGE_AUTOEDIT": "no",
        }  # fmt: skip

    def fresh(self) -> str:
        """The id of a new change."""
        self.count += 1
        return f"C-{self.count:06d}"

    def verdict(
        self, clone: Clone, tip: str = "HEAD", with_texts: bool = True, asked: Sequence[str] = ()
    ) -> Verdict:
        """What the rule says of a commit as main's tip, by the records it holds."""
        commit = clone.git("rev-parse", tip)
        with environment(self.env(clone.who)), open_repository(clone.root) as repo:
            return covering(
                repo, commit, self.changes(clone, commit), texts=self.texts if with_texts else {}, asked=asked
            )

    def changes(self, clone: Clone, commit: str) -> list[Change]:
        """The changes that a commit holds, and how they stand there."""
        listed = clone.git("ls-tree", "-r", "--name-only", commit, "--", "records/").splitlines()
        decided = {path.split("/")[2][2:10]: path for path in listed if "/D-" in path}
        refused = {path.split("/")[2][2:10]: path for path in listed if "/R-" in path}
        found = []
        for name, edits in self.edits.items():
            if f"records/2026/{name}.toml" in listed:
                standing = "approved" if name in decided else "rejected" if name in refused else "undecided"
                path = decided.get(name) or refused.get(name) or ""
                found.append(Change(name, standing, edits, f"records/2026/{name}.toml", path))  # type: ignore[arg-type]
        return found

    def record(self, clone: Clone, change: str, edits: Sequence[Edit]) -> None:
        """Write a change record, which keeps both texts of each edit."""
        self.edits[change] = tuple(edits)
        for blob in {blob for edit in edits for blob in (edit.before, edit.after) if blob}:
            self.texts[blob] = clone.run("cat-file", "blob", blob).stdout
        clone.write(f"records/2026/{change}.toml", f"{change}\n")


def start(folder: Path) -> Yard:
    """A new yard with its first issue pushed and cloned three times."""
    yard = Yard(folder)
    folder.mkdir(parents=True)
    (folder / "home").mkdir()
    seed = Clone(yard, "ada", folder / "ada")
    seed.root.mkdir()
    seed.git("init", "--quiet", "--template=", "--initial-branch=main")
    for path, text in FILES.items():
        seed.write(path, text)
    seed.commit("first issue")
    seed.git("clone", "--quiet", "--template=", "--bare", ".", "../origin.git")
    seed.git("config", "gc.auto", "0")
    seed.git("config", "maintenance.auto", "false")
    seed.git("remote", "add", "origin", "../origin.git")
    seed.git("fetch", "--quiet", "origin")
    seed.git("branch", "--quiet", "--set-upstream-to=origin/main")
    for who in WHO[1:]:
        seed.git("clone", "--quiet", "--template=", "../origin.git", f"../{who}")
        shutil.copy(folder / "ada" / ".git" / "config", folder / who / ".git" / "config")
    return yard


def copy(template: Yard, folder: Path) -> Yard:
    """The same yard somewhere else."""
    shutil.copytree(template.folder, folder)
    return Yard(folder, template.clock, dict(template.edits), dict(template.texts), template.count)


# What honest people do. Each takes a clone on main with nothing in progress, and leaves it so.


def altered(text: str, at: int, how: int, made: int, rework: bool = True) -> str:
    """A text with one line exchanged, put in, doubled or taken out, as a person would.

    Without `rework` no line is touched that an earlier change made: where a copy of that change is on its way
    on another line of commits, git would put back what the later one took out, which is found, and rightly so.
    """
    end = "\r\n" if "\r\n" in text else "\n"
    lines = text.split(end)
    starts = ("  {", "key_", "area", "note", "extent", "drawing")
    rows = [n for n, line in enumerate(lines) if line.startswith(starts) and (rework or line in ORIGINAL)]
    if not rows:
        return text + f"key_{made} = {made}.0{end}"
    n = rows[at % len(rows)]
    layer = lines[n].startswith("  {")
    fresh = (
        f'  {{ material = "uni-{made}", plies = 1 }},' if layer else f"{lines[n].split(' ')[0]} = {made}.0"
    )
    if how % 4 == 0 or not layer:
        lines[n] = fresh
    elif how % 4 == 1 or (how % 4 == 2 and not rework):
        lines.insert(n, fresh)
    elif how % 4 == 2:
        lines.insert(n, lines[n])
    elif len(rows) > 5:
        del lines[n]
    return end.join(lines)


def propose(clone: Clone, at: int, how: int, commits: int = 1, rework: bool = True) -> str:
    """A branch with a change of one or two files in some commits, its record on the last; returns its id."""
    change = clone.yard.fresh()
    clone.git("checkout", "--quiet", "-b", f"change/{change}")
    edits: list[Edit] = []
    for n in range(commits):
        paths = clone.files()
        for k in range(1 + (how // 4) % 2):
            path = paths[(at // 16 + k) % len(paths)]
            made = 10 * clone.yard.count + n
            text = altered(clone.read(path) or "", at + 3 * n, how if n == 0 else 0, made, rework)
            clone.write(path, text)
        clone.commit(f"edit\n\nChange: {change}")
        edits += clone.edits("HEAD~1")
    clone.yard.record(clone, change, edits)
    clone.commit(f"record\n\nChange: {change}", "--amend")
    return change


def decide(clone: Clone, change: str, word: str = "D") -> None:
    """A decision, in a commit of its own."""
    clone.write(f"records/2026/{word}-{change}-{clone.who}.toml", f"{change}\n")
    clone.commit(f"decide {change}")


def land(clone: Clone, change: str, way: int) -> None:
    """Bring a branch to main by one of the ways there are; given up where git asks for a hand."""
    branch = f"change/{change}"
    clone.git("checkout", "--quiet", "main")
    before = clone.head()
    if way % 4 == 0:
        done = clone.tries("merge", "--quiet", "--no-ff", "-m", f"merge {change}", branch)
    elif way % 4 == 1:
        done = clone.tries("merge", "--quiet", "--squash", branch)
        done = done and bool(clone.commit(f"squash of {change}"))
    elif way % 4 == 2:
        done = clone.tries("cherry-pick", f"main..{branch}")
    else:
        done = clone.tries("rebase", "--quiet", "main", branch)
        if done:
            clone.git("checkout", "--quiet", "main")
            clone.git("merge", "--quiet", "--ff-only", branch)
    if not done:
        give_up(clone, before)


def give_up(clone: Clone, before: str) -> None:
    """Back to main as it was."""
    for command in ("merge", "rebase", "cherry-pick", "revert"):
        clone.tries(command, "--abort")
    clone.git("checkout", "--quiet", "--force", "main")
    clone.git("reset", "--quiet", "--hard", before)
    clone.git("clean", "--quiet", "-fd")


def sync(clone: Clone, way: int) -> bool:
    """Pull by merge or by rebase, then push; whether it went through."""
    before = clone.head()
    options = (("--no-rebase",), ("--rebase",), ("--rebase=merges",))[way % 3]
    if not clone.tries("pull", "--quiet", *options, "origin", "main"):
        give_up(clone, before)
        return False
    return clone.tries("push", "--quiet", "origin", "main") if way // 3 % 3 else True


def take_over(clone: Clone, other: Clone, at: int) -> None:
    """Cherry-pick what someone has committed on their main and this clone lacks, all of one change."""
    clone.git("fetch", "--quiet", f"../{other.who}", "main")
    missing = clone.git("rev-list", "--reverse", "--no-merges", "HEAD..FETCH_HEAD").splitlines()
    subjects = {commit: clone.git("log", "-1", "--format=%s %b", commit) for commit in missing}
    names = sorted({word for text in subjects.values() for word in text.split() if word.startswith("C-")})
    if not names:
        return
    wanted = [commit for commit in missing if names[at % len(names)] in subjects[commit]]
    before = clone.head()
    if not clone.tries("cherry-pick", "--allow-empty", "--keep-redundant-commits", *wanted):
        give_up(clone, before)


def merge_other(clone: Clone, other: Clone) -> None:
    """Merge someone's main without going over the remote: the way to criss-cross."""
    clone.git("fetch", "--quiet", f"../{other.who}", "main")
    before = clone.head()
    if not clone.tries("merge", "--quiet", "--no-edit", "FETCH_HEAD"):
        give_up(clone, before)


def in_step(yard: Yard) -> bool:
    """Bring all clones to one commit, if they can without a hand."""
    for clone in (*yard.clones, *yard.clones):
        sync(clone, 3)
    return len({clone.head() for clone in yard.clones}) == 1


def take_back(clone: Clone, at: int) -> None:
    """Revert a commit by a change that was decided; with a copy still on the way, git would revive it."""
    if not in_step(clone.yard):
        return
    commits = [
        commit
        for commit in clone.git(
            "rev-list", "--no-merges", "HEAD", "--", "models", "materials", "prices.toml"
        ).splitlines()
        if clone.tries("rev-parse", "--quiet", "--verify", f"{commit}~1")
    ]
    if not commits:
        return
    change = clone.yard.fresh()
    before = clone.head()
    clone.git("checkout", "--quiet", "-b", f"change/{change}")
    if not clone.tries("revert", "--no-commit", commits[at % len(commits)]):
        give_up(clone, before)
        return
    clone.git("reset", "--quiet")
    clone.tries("checkout", "--quiet", "HEAD", "--", "records")
    clone.git("clean", "--quiet", "-fd", "records")
    clone.commit(f"revert\n\nChange: {change}")
    clone.yard.record(clone, change, clone.edits("HEAD~1"))
    clone.commit(f"record\n\nChange: {change}", "--amend")
    decide(clone, change)
    land(clone, change, at)


def rename(clone: Clone, at: int) -> None:
    """Give a zone another name by a change that was decided."""
    zones = [path for path in clone.files() if path.count("/") == 3]
    path = zones[at % len(zones)]
    text = clone.read(path) or ""
    if "formerly" in text or "\r" in text:
        return
    change = clone.yard.fresh()
    clone.git("checkout", "--quiet", "-b", f"change/{change}")
    part, name = path.split("/")[2:]
    clone.write(path, None)
    clone.write(
        path.replace(name, f"new-{clone.yard.count}.toml"), f'formerly = ["{part}/{name[:-5]}"]\n{text}'
    )
    clone.commit(f"rename\n\nChange: {change}")
    clone.yard.record(clone, change, clone.edits("HEAD~1"))
    clone.commit(f"record\n\nChange: {change}", "--amend")
    decide(clone, change)
    land(clone, change, at)


def line_ends(clone: Clone, at: int) -> None:
    """Store a file with the other line ends."""
    paths = clone.files()
    path = paths[at % len(paths)]
    text = clone.read(path) or ""
    clone.write(path, text.replace("\r\n", "\n") if "\r\n" in text else text.replace("\n", "\r\n"))
    clone.commit(f"line ends of {path}")


def change_twice(clone: Clone, other: Clone, at: int, how: int) -> None:
    """A proposal that two people approve, each in their own clone."""
    change = propose(clone, at, how, rework=False)
    clone.git("checkout", "--quiet", "main")
    other.git("fetch", "--quiet", f"../{clone.who}", f"change/{change}")
    other.git("branch", "--quiet", "--force", f"change/{change}", "FETCH_HEAD")
    for one, way in ((clone, at), (other, how)):
        one.git("checkout", "--quiet", f"change/{change}")
        decide(one, change)
        land(one, change, way)


def act(yard: Yard, kind: str, actor: int, at: int, how: int) -> None:
    """One step of a story."""
    clones = yard.clones
    clone, other = clones[actor % 3], clones[(actor + 1 + how % 2) % 3]
    if kind == "change" or (kind == "rework" and in_step(yard)):
        change = propose(clone, at, how, 1 + (how // 8) % 2, kind == "rework")
        decide(clone, change)
        land(clone, change, at // 4)
    elif kind == "sync":
        sync(clone, at)
    elif kind == "take over":
        take_over(clone, other, at)
    elif kind == "merge":
        merge_other(clone, other)
    elif kind == "take back":
        take_back(clone, at)
    elif kind == "rename":
        rename(clone, at)
    elif kind == "line ends":
        line_ends(clone, at)
    elif kind == "twice":
        change_twice(clone, other, at, how)


def noises(verdict: Verdict) -> Mapping[str, object]:
    """All that an honest story must not provoke."""
    return {"findings": verdict.open, "not landed": verdict.not_landed}
