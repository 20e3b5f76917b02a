"""Which settings are in force at each commit: an edit that nobody entitled decided changes nothing."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from recipe_track.history.ancestry import Ancestor
from recipe_track.recipe.craft import Approval, Settings
from recipe_track.recipe.paths import SETTINGS_PATH
from recipe_track.trail.texts import git_joins
from recipe_track.workspace.covering import driver_joins

if TYPE_CHECKING:
    from recipe_track.history.ancestry import Ancestor

CRLF = b"\r\n"
Rules = tuple[Approval, ...]


@dataclass(frozen=True, slots=True)
class DecidedSettings:
    """An edit of the settings that a decision approves, where it does: under the rules before it."""

    before: str
    after: str
    commit: str  # that brought the decision
    is_sound: Callable[[Rules], bool]


@dataclass
class SettingsInForce:
    """The walk along main's ancestry, parents first; a decided edit counts once on a line, as edits do."""

    decided: Sequence[DecidedSettings]
    texts: Mapping[str, bytes]  # by blob
    settings: Mapping[str, Settings]  # by blob, those that can be read
    held: dict[str, str] = field(default_factory=dict)
    force: dict[str, str] = field(default_factory=dict)
    open: dict[str, frozenset[int]] = field(default_factory=dict)  # decided by then
    used: dict[str, frozenset[int]] = field(default_factory=dict)

    def walk(self, ancestors: Sequence[Ancestor]) -> Mapping[str, str]:
        """The blob of the settings in force, by commit; empty where there are none."""
        for commit in ancestors:
            self._look_at(commit)
        return self.force

    def _look_at(self, commit: Ancestor) -> None:
        parents = [parent for parent in commit.parents if parent in self.force]
        held = self.held[parents[0]] if parents else ""
        held = next((t.after for t in commit.touches if t.path == SETTINGS_PATH), held)
        before = tuple(dict.fromkeys(self.force[parent] for parent in parents))
        rules = tuple(self.settings[blob].approval for blob in before if blob in self.settings)
        newly = (n for n, one in enumerate(self.decided) if one.commit == commit.id and one.is_sound(rules))
        self.held[commit.id] = held
        self.open[commit.id] = frozenset(newly).union(*(self.open[parent] for parent in parents))
        used = frozenset[int]().union(*(self.used[parent] for parent in parents))
        self.force[commit.id], self.used[commit.id] = self._in_force(commit.id, held, before, used)

    def _in_force(
        self, commit: str, held: str, before: Sequence[str], used: frozenset[int]
    ) -> tuple[str, frozenset[int]]:
        """What is in force, and the decided edits that have been counted by then."""
        if held in before or not any(before):
            return held, used
        if any(self._rules_of(held) == self._rules_of(blob) for blob in before):
            return held, used  # nothing that a decision has to satisfy, or that leads to another branch
        for blob in before:
            steps = self._steps(blob, held, sorted(self.open[commit] - used))
            if steps is not None:
                return held, used.union(steps)
        return before[0], used

    def _rules_of(self, blob: str) -> object:
        known = self.settings.get(blob)
        return (known.approval, known.main_branch) if known is not None else None

    def _steps(self, start: str, goal: str, usable: Sequence[int]) -> frozenset[int] | None:
        """The decided edits that lead from one text to another, each carried on by a clean merge."""
        if goal not in self.texts or start not in self.texts:
            return None
        wanted = _plain(self.texts[goal])
        reached: dict[bytes, frozenset[int]] = {_plain(self.texts[start]): frozenset()}
        for number in usable:
            for text, taken in list(reached.items()):
                for carried in self._carried(text, self.decided[number]):
                    reached.setdefault(carried, taken | {number})
        return reached.get(wanted)

    def _carried(self, text: bytes, edit: DecidedSettings) -> Iterator[bytes]:
        old, new = self.texts.get(edit.before), self.texts.get(edit.after)
        if old is None or new is None:
            return
        old, new = _plain(old), _plain(new)
        if old == text:
            yield new
            return
        yield from git_joins(SETTINGS_PATH, old, text, new)
        yield from driver_joins(SETTINGS_PATH, old, text, new)


def _plain(text: bytes) -> bytes:
    return text.replace(CRLF, b"\n")
