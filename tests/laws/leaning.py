"""Ways to lean on the record, each by ordinary git; what was done carries a marker wherever it is carried to."""

from collections.abc import Callable
from dataclasses import dataclass

from recipe_track.trail import Verdict
from tests.laws.clones import Clone, altered, decide, give_up, land, propose

MARKER = "marker.txt"


@dataclass(frozen=True)
class Leant:
    """Where it must show: a finding at one of the paths, or a change that did not land.

    `above` is a file without which nothing was leant on: who cherry-picks an edit and its replay, but not the
    change that took it back in between, has it once.
    """

    paths: frozenset[str] = frozenset()
    change: str = ""
    above: str = MARKER

    def shows(self, verdict: Verdict) -> bool:
        """Whether the verdict names it."""
        named = {finding.edit.path for finding in verdict.open}
        return bool(named & self.paths) or self.change in {missing.change for missing in verdict.not_landed}


def tamper(clone: Clone, at: int) -> str:
    """Alter a line of a file, not committed yet; returns its path."""
    paths = clone.files()
    path = paths[at % len(paths)]
    clone.yard.count += 1
    clone.write(path, altered(clone.read(path) or "", at // 8, 0, 7000 + clone.yard.count))
    return path


def marked(clone: Clone, message: str) -> None:
    """Commit with the marker."""
    clone.write(MARKER, f"{message}\n")
    clone.commit(message)


def typed_trailer(clone: Clone, at: int, how: int) -> Leant | None:
    """An edit that claims a change which landed already, or one that never was."""
    path = tamper(clone, at)
    marked(clone, f"harmless\n\nChange: C-{1 + how % (clone.yard.count + 1):06d}\nReason: it is fine")
    return Leant(frozenset({path}))


def one_byte(clone: Clone, at: int, how: int) -> Leant | None:
    """A single byte of a file, but for its line ends."""
    paths = clone.files()
    path = paths[at % len(paths)]
    data = bytearray((clone.read(path) or "").encode())
    places = [n for n, byte in enumerate(data) if byte not in b"\r\n"]
    place = places[(at * 31 + how * 7) % len(places)]
    data[place] = data[place] ^ 1 if data[place] ^ 1 not in b"\r\n" else 0x7E
    clone.write(path, data.decode())
    marked(clone, "nothing")
    return Leant(frozenset({path}))


def amended_approval(clone: Clone, at: int, how: int) -> Leant | None:
    """More is put into the proposal's commit once its record was written."""
    change = propose(clone, at, how)
    path = tamper(clone, at // 2)
    clone.write(MARKER, "amended\n")
    clone.commit(f"record\n\nChange: {change}", "--amend")
    decide(clone, change)
    land(clone, change, how)
    return Leant(frozenset({path, *_paths(clone, change)}), change)


def added_commit(clone: Clone, at: int, how: int) -> Leant | None:
    """A commit more on a proposal that was decided."""
    change = propose(clone, at, how)
    decide(clone, change)
    path = tamper(clone, at // 2)
    marked(clone, f"afterthought\n\nChange: {change}")
    land(clone, change, how)
    return Leant(frozenset({path, *_paths(clone, change)}), change)


def edit_in_merge(clone: Clone, at: int, how: int) -> Leant | None:
    """An edit inside the merge of a proposal that was decided."""
    change = propose(clone, at, how)
    decide(clone, change)
    clone.git("checkout", "--quiet", "main")
    clone.git("merge", "--quiet", "--no-ff", "--no-commit", f"change/{change}")
    path = tamper(clone, at // 2)
    marked(clone, f"merge {change}")
    return Leant(frozenset({path}))


def side_dropped(clone: Clone, at: int, how: int) -> Leant | None:
    """A merge that keeps nothing but the records of a side."""
    change = propose(clone, at, how)
    decide(clone, change)
    clone.git("checkout", "--quiet", "main")
    path = clone.files()[at % 3]
    other = propose(clone, at + 5, 0)  # main moves on, so that there are two sides
    decide(clone, other)
    land(clone, other, 3)
    clone.git("merge", "--quiet", "--no-commit", "--strategy=ours", f"change/{change}")
    clone.git("checkout", "--quiet", f"change/{change}", "--", "records")
    marked(clone, f"merge {change}")
    return Leant(frozenset({path, *_paths(clone, change)}), change)


def replayed(clone: Clone, at: int, how: int) -> Leant | None:
    """An edit that was decided and taken back by decision is made again."""
    change = propose(clone, at, how)
    decide(clone, change)
    land(clone, change, 3)
    done = clone.yard.edits[change]
    back = clone.yard.fresh()
    for edit in done:
        clone.write(edit.path, clone.yard.texts[edit.before].decode())
    clone.commit(f"back\n\nChange: {back}")
    clone.yard.record(clone, back, clone.edits("HEAD~1"))
    decide(clone, back)
    for edit in done:
        clone.write(edit.path, clone.yard.texts[edit.after].decode())
    marked(clone, f"edit\n\nChange: {change}")
    return Leant(frozenset(edit.path for edit in done), above=f"records/2026/{back}.toml")


def revived(clone: Clone, at: int, how: int) -> Leant | None:
    """A line that has a copy of a change is merged to one that took the change back: git revives it."""
    clone.git("branch", "--force", "aside")
    change = propose(clone, at, how)
    decide(clone, change)
    land(clone, change, 3)
    clone.git("checkout", "--quiet", "aside")
    clone.git("cherry-pick", f"aside..change/{change}")
    clone.commit("aside")  # so that the copies are other commits
    clone.git("checkout", "--quiet", "main")
    clone.git("commit", "--quiet", "--allow-empty", "--amend", "--no-edit", "--reset-author")
    back = clone.yard.fresh()
    for edit in clone.yard.edits[change]:
        clone.write(edit.path, clone.yard.texts[edit.before].decode())
    clone.commit(f"back\n\nChange: {back}")
    clone.yard.record(clone, back, clone.edits("HEAD~1"))
    decide(clone, back)
    before = clone.head()
    if not clone.tries("merge", "--quiet", "--no-ff", "--no-commit", "aside"):
        give_up(clone, before)
        return None
    if not clone.edits("HEAD", clone.git("write-tree")):
        give_up(clone, before)  # git knew of it
        return None
    marked(clone, "merge aside")
    return Leant(frozenset(edit.path for edit in clone.yard.edits[change]))


def split(clone: Clone, at: int, how: int) -> Leant | None:
    """What was decided as one edit is done in two that were not."""
    path = clone.files()[at % 5]
    text = clone.read(path) or ""
    half = altered(text, 0, 0, 8000 + at)
    change = clone.yard.fresh()
    clone.git("checkout", "--quiet", "-b", f"change/{change}")
    clone.write(path, altered(half, 7, 0, 9000 + at))
    clone.commit(f"edit\n\nChange: {change}")
    clone.yard.record(clone, change, clone.edits("HEAD~1"))
    clone.commit(f"record\n\nChange: {change}", "--amend")
    decide(clone, change)
    clone.git("checkout", "--quiet", "main")
    clone.write(path, half)
    marked(clone, f"first half\n\nChange: {change}")
    clone.git("checkout", "--quiet", f"change/{change}", "--", path, "records")
    clone.commit(f"second half\n\nChange: {change}")
    return Leant(frozenset({path}), change)


def half_landed(clone: Clone, at: int, how: int) -> Leant | None:
    """One of the two files of a decision lands."""
    change = propose(clone, at, 4 + how % 4)
    decide(clone, change)
    clone.git("checkout", "--quiet", "main")
    left, *rest = sorted({edit.path for edit in clone.yard.edits[change]})
    if not rest:
        return None
    clone.git("checkout", "--quiet", f"change/{change}", "--", *rest, "records")
    marked(clone, f"edit\n\nChange: {change}")
    return Leant(frozenset({left}), change)


def undecided(clone: Clone, at: int, how: int) -> Leant | None:
    """A proposal lands that nobody decided."""
    change = propose(clone, at, how)
    marked(clone, "mark")
    land(clone, change, how)
    return Leant(frozenset(_paths(clone, change)))


def vanished(clone: Clone, at: int, how: int) -> Leant | None:
    """A file is taken away, or renamed with an edit on the way."""
    zones = [path for path in clone.files() if path.count("/") == 3]
    path = zones[at % len(zones)]
    text = clone.read(path) or ""
    clone.write(path, None)
    if how % 2:
        part, name = path.split("/")[2:]
        clone.write(f"models/m/{part}/gone-{at}.toml", f'formerly = ["{part}/{name[:-5]}"]\n{text}')
    marked(clone, "tidy")
    return Leant(frozenset({path}))


WAYS: dict[str, Callable[[Clone, int, int], Leant | None]] = {
    way.__name__: way
    for way in (
        typed_trailer, one_byte, amended_approval, added_commit, edit_in_merge, side_dropped, replayed,
        revived, split, half_landed, undecided, vanished,
    )
}  # fmt: skip


def _paths(clone: Clone, change: str) -> set[str]:
    return {edit.path for edit in clone.yard.edits[change]}
