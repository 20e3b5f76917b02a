"""The versions of a zone through commits, names and merges: one walk of the log, one read of all contents."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from recipe_track.history.log import Commit, walk
from recipe_track.history.objects import read_many
from recipe_track.impact.origins import VersionNode
from recipe_track.recipe.fields import RecipeTable
from recipe_track.recipe.identity import Zones, predecessors
from recipe_track.recipe.layup import Zone
from recipe_track.recipe.paths import file_at, record_at, zone_at, zone_path
from recipe_track.textfiles.meaning.read import read_file

if TYPE_CHECKING:
    from recipe_track.workspace import Workspace

Node = tuple[str, str]  # commit id, zone name
Files = Mapping[str, str]  # zone name, object id


@dataclass(frozen=True, slots=True)
class _Version:
    """A zone at a commit: the node that first held just this, and all nodes it grew out of."""

    node: Node
    ancestors: frozenset[Node]


class _ZonesAt(Zones):
    """The zones of one commit by name."""

    def __init__(self, lineage: Lineage, commit: str) -> None:
        self._lineage, self._commit = lineage, commit

    def __getitem__(self, name: str) -> Zone | None:
        if name not in self:
            raise KeyError(name)
        return self._lineage.zone(self._commit, name)

    def __contains__(self, name: object) -> bool:
        return name in self._lineage.files(self._commit)

    def __iter__(self) -> Iterator[str]:
        return iter(sorted(self._lineage.files(self._commit)))

    def __len__(self) -> int:
        return len(self._lineage.files(self._commit))


class Lineage:
    """Every commit behind a tip with the zone files of one model; made once for a command.

    `log` holds them newest first, `contents` every file of the model and of materials there ever was.
    """

    def __init__(self, model: str, log: Sequence[Commit], contents: Mapping[str, bytes]) -> None:
        self._model, self._contents = model, contents
        self.commits = {commit.id: commit for commit in reversed(log)}
        self._zones: dict[tuple[str, str], Zone | None] = {}
        self._parsed: dict[str, RecipeTable | None] = {}
        self._behind: dict[Node, dict[Node, tuple[Node, ...]]] = {}
        self._files = self._files_at(self._name)
        self._around = self._files_at(self._data_path)
        self.kinds = self._kinds()

    def _files_at(self, name_at: Callable[[str], str | None]) -> dict[str, Files]:
        """Files of one kind by name at every commit, out of what each changed against its first parent."""
        files: dict[str, Files] = {}
        for commit in self.commits.values():
            before: Files = files.get(commit.parents[0], {}) if commit.parents else {}
            gone = {name_at(c.old_path or c.path) for c in commit.changes if c.status in ("D", "R")}
            laid = {name: c.oid for c in commit.changes if c.oid and (name := name_at(c.path))}
            if laid or any(gone):
                files[commit.id] = {n: oid for n, oid in before.items() if n not in gone} | laid
            else:
                files[commit.id] = before
        return files

    def _name(self, path: str) -> str | None:
        return zone_at(path, self._model)

    def _data_path(self, path: str) -> str | None:
        return path if _is_data(path, self._model) else None

    def _kinds(self) -> dict[str, str]:
        """The kind of every material there ever was."""
        kinds: dict[str, str] = {}
        for commit in self.commits.values():
            for path in (change.path for change in commit.changes if change.oid):
                file = file_at(path)
                material = self.data(commit.id, path) if file and file.kind == "material" else None
                if file is not None and material is not None:
                    kinds[file.id] = str(getattr(material, "kind", ""))
        return kinds

    def data(self, commit: str, path: str) -> RecipeTable | None:
        """A material or a part at a commit as it is written there; None where it cannot be read."""
        oid = self._around.get(commit, {}).get(path)
        if oid is None:
            return None
        if oid not in self._parsed:
            parsed = read_file(path, self._contents[oid])[0]
            self._parsed[oid] = parsed if isinstance(parsed, RecipeTable) else None
        return self._parsed[oid]

    def redefined(self, commits: Iterable[str], path: str) -> Iterator[str]:
        """Those of some commits that gave a material or a part other data than all their parents had."""
        for commit in commits:
            parents = [parent for parent in self.commits[commit].parents if parent in self.commits]
            if parents and all(self._differs(commit, parent, path) for parent in parents):
                yield commit

    def _differs(self, commit: str, parent: str, path: str) -> bool:
        if self._around[commit] is self._around[parent]:
            return False
        now, before = self.data(commit, path), self.data(parent, path)
        return now is not None and before is not None and now != before

    def files(self, commit: str) -> Files:
        """The zone files at a commit."""
        return self._files.get(commit, {})

    def zone(self, commit: str, name: str) -> Zone | None:
        """A zone at a commit; None where it is not there or cannot be read."""
        oid = self._oid((commit, name))
        if oid is None:
            return None
        if (name, oid) not in self._zones:
            zone = read_file(zone_path(self._model, name), self._contents[oid])[0]
            self._zones[name, oid] = zone if isinstance(zone, Zone) else None
        return self._zones[name, oid]

    def zones(self, commit: str) -> Zones:
        """The zones at a commit, each read when it is asked for."""
        return _ZonesAt(self, commit)

    def _oid(self, node: Node) -> str | None:
        return self.files(node[0]).get(node[1])

    def parents(self, node: Node) -> tuple[Node, ...]:
        """The zones a zone came from, in every parent of its commit."""
        commit = self.commits[node[0]]
        known = [parent for parent in commit.parents if parent in self.commits]
        return tuple(dict.fromkeys((parent, name) for parent in known for name in self._before(node, parent)))

    def _before(self, node: Node, parent: str) -> Iterator[str]:
        """The names that a zone had at a parent of its commit."""
        commit, name = node
        now = self._files[commit].get(name)
        if now is not None and self._files[parent].get(name) == now:
            yield name  # a text that was not touched names no earlier name that it did not name before
            return
        if self._files[parent] is self._files[commit]:  # no zone was touched
            yield name
            return
        renamed = self._renamed(self.commits[commit], name)
        yield from predecessors(name, self.zones(parent), self.zones(commit), renamed)

    def _renamed(self, commit: Commit, name: str) -> Iterator[str]:
        path = zone_path(self._model, name)
        for change in commit.changes:
            old = self._name(change.old_path or "") if change.status in ("R", "C") else None
            if old is not None and change.path == path:
                yield old

    def versions(self, commit: str, name: str) -> tuple[VersionNode[Node], ...]:
        """The distinct versions of a zone up to a commit, oldest first, ready to be traced."""
        behind = self.behind((commit, name))
        known: dict[Node, _Version] = {}
        made: dict[Node, VersionNode[Node]] = {}
        for node, parents in behind.items():
            known[node] = self._version(node, [known[parent] for parent in parents])
            if known[node].node == node:
                zone = self.zone(*node)
                reps = tuple(dict.fromkeys(known[parent].node for parent in parents))
                made[node] = VersionNode(node, reps, zone.layup if zone else None, self.kinds)
        last = known[commit, name].node
        return tuple(v for n, v in made.items() if n in known[commit, name].ancestors or n == last)

    def _version(self, node: Node, parents: Sequence[_Version]) -> _Version:
        """The version of a parent where nothing changed and it holds all that the other parents do."""
        ancestors = frozenset[Node]().union(*(p.ancestors | {p.node} for p in parents))
        for parent in parents:
            same = self._oid(parent.node) == self._oid(node) and parent.node[1] == node[1]
            if same and ancestors <= parent.ancestors | {parent.node}:
                return parent
        return _Version(node, ancestors)

    def behind(self, node: Node) -> dict[Node, tuple[Node, ...]]:
        """Every zone at every commit that a zone came from with its parents, oldest first."""
        if node not in self._behind:
            self._behind[node] = self._found_behind(node)
        return self._behind[node]

    def _found_behind(self, node: Node) -> dict[Node, tuple[Node, ...]]:
        behind: dict[Node, tuple[Node, ...]] = {}
        waiting = [node]
        while waiting:
            one = waiting.pop()
            if one not in behind:
                behind[one] = self.parents(one)
                waiting += behind[one]
        order = {commit: n for n, commit in enumerate(self.commits)}
        return dict(sorted(behind.items(), key=lambda item: order[item[0][0]]))

    def changes_added(self, commit: str) -> Iterator[str]:
        """Changes whose records a commit added."""
        added = (record_at(c.path) for c in self.commits[commit].changes if c.status == "A")
        return (name for name in added if name is not None and name.startswith("C-"))


def fetch_lineage(ws: Workspace, model: str, tip: str) -> Lineage:
    """One walk of the log behind a tip, and one read of all that it brought of a model and of materials."""
    log = walk(ws.repo, tip, first_parent=False)
    changes = (change for commit in log for change in commit.changes if change.oid)
    oids = {c.oid for c in changes if c.oid and (zone_at(c.path, model) or _is_data(c.path, model))}
    return Lineage(model, log, read_many(ws.repo, sorted(oids)))


def _is_data(path: str, model: str) -> bool:
    """Whether a path is that of a material, or of a part of the model."""
    file = file_at(path)
    return file is not None and file.kind in ("material", "part") and file.model in (None, model)
