"""Histories as plain values: commits with whole trees, changes with texts, no git."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from recipe_track.trail import NONE, Change, Commit, Edit, Verdict, walk
from recipe_track.trail.texts import blob_id
from recipe_track.workspace.covering import former_paths, is_free

ZONE = "models/m/hull/side.toml"
OTHER = "models/m/hull/bottom.toml"
START = "start"


def text(*changed: str, lines: int = 12) -> bytes:
    """A text of numbered lines; `"3x"` puts x in line 3, `"3-"` takes it out, `"3+x"` puts x before it."""
    rows = {n: [f"line {n}"] for n in range(lines)}
    for change in changed:
        n, what = int(change[0]), change[1:]
        if what == "-":
            rows[n] = []
        elif what.startswith("+"):
            rows[n].insert(0, what[1:])
        else:
            rows[n] = [what]
    return "".join(f"# {row}\n" for n in rows for row in rows[n]).encode()


@dataclass
class Story:
    """Commits in the order of telling; the first one holds a model's first issue."""

    commits: list[Commit] = field(default_factory=list)
    trees: dict[str, dict[str, str]] = field(default_factory=dict)
    texts: dict[str, bytes] = field(default_factory=dict)
    changes: list[Change] = field(default_factory=list)

    def keep(self, content: bytes | None) -> str:
        """The blob of a text."""
        if content is None:
            return NONE
        blob = blob_id(content)
        self.texts[blob] = content
        return blob

    def edit(self, before: bytes | None, after: bytes | None, path: str = ZONE) -> Edit:
        """An edit between two texts."""
        return Edit(path, self.keep(before), self.keep(after))

    def change(self, name: str, *edits: Edit, standing: str = "approved") -> Change:
        """A change record with its decision."""
        change = Change(name, standing, edits, f"records/{name}", f"records/D-{name}")  # type: ignore[arg-type]
        self.changes.append(change)
        return change

    def commit(
        self,
        name: str,
        parents: Sequence[str] | str = (),
        *,
        claims: Sequence[str] = (),
        records: Sequence[str] = (),
        edge: bool = False,
        files: Mapping[str, bytes | None] | None = None,
        **zone: bytes | None,
    ) -> str:
        """A commit that writes some files on its first parent; `side=` is short for the file that most tests use."""
        parents = (parents,) if isinstance(parents, str) else tuple(parents)
        before = self.trees[parents[0]] if parents else {}
        after = dict(before)
        written = {ZONE: zone["side"]} if zone else {}
        for path, content in {**(files or {}), **written}.items():
            after[path] = self.keep(content)
        after = {path: blob for path, blob in after.items() if blob != NONE}
        edits = tuple(
            Edit(path, before.get(path, NONE), after.get(path, NONE))
            for path in sorted({*before, *after})
            if before.get(path) != after.get(path)
        )
        self.trees[name] = after
        self.commits.append(
            Commit(name, parents, edits, "Ada", "ada@quay.example", "Ben", "ben@quay.example", f"on {name}",
                   tuple(claims), tuple(records), edge)
        )  # fmt: skip
        return name

    def verdict(self, *asked: str) -> Verdict:
        """What the rule says, the last commit being main's tip."""
        return walk(
            self.commits, self.changes, self.texts.get, asked=asked, formerly=former_paths, is_free=is_free
        )


def started(**files: bytes) -> Story:
    """A story whose model was issued: two zones of twelve lines, and files at the top by their stem."""
    story = Story()
    top = {f"{stem.replace('_', '-')}.toml": content for stem, content in files.items()}
    story.commit(START, files={ZONE: text(), OTHER: text(), **top})
    return story


def undecided(verdict: Verdict) -> list[tuple[str, str]]:
    """Path and first commit of every open finding."""
    return [(finding.edit.path, finding.commits[0]) for finding in verdict.open]


def missing(verdict: Verdict) -> list[tuple[str, int]]:
    """Change and number of every approved edit that is not at the tip."""
    return [(one.change, one.number) for one in verdict.not_landed]


def is_quiet(verdict: Verdict) -> bool:
    """Whether there is nothing to tell."""
    return not verdict.open and not verdict.not_landed
