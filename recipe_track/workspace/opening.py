"""An open recipe repository: its settings, its revisions, and what is written at each."""

from __future__ import annotations

import os
import re
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from recipe_track.errors import CallError, InvalidRecipe, Problem, RepositoryError
from recipe_track.history.log import Commit, walk
from recipe_track.history.objects import content_at
from recipe_track.history.refs import Refs, read_refs
from recipe_track.history.repository import Repository, open_repository, resolve
from recipe_track.history.revisions import Labels, labels
from recipe_track.history.staging import index_tree
from recipe_track.recipe.craft import MAIN_BRANCH, Settings
from recipe_track.recipe.paths import SETTINGS_PATH, file_at, record_at
from recipe_track.recipe.rules.names import nearest
from recipe_track.recipe.snapshot import Snapshot
from recipe_track.textfiles.meaning.read import newer_than_known
from recipe_track.workspace.assembly import Parser, Reading, assemble, join_readable, parse
from recipe_track.workspace.contents import Blobs, Trees, what_else, working, zones_ever
from recipe_track.workspace.growing import nothing_yet
from recipe_track.workspace.trail import Trail

if TYPE_CHECKING:
    from recipe_track.history.ancestry import Ancestor
    from recipe_track.recipe.records import Record

WORKING = "working"
_LABEL = re.compile(r"r[1-9][0-9]*(\+[1-9][0-9]*)?")


@dataclass(frozen=True, slots=True)
class Revision:
    """A point in the history of a model, or the working files (no commit, no date)."""

    label: str | None
    commit: str | None
    date: str | None

    @property
    def shown(self) -> str:
        """The label, or a short commit id where there is none."""
        return self.label or (self.commit or "")[:10]


class Workspace:
    """One recipe repository, open for one command or one worker; not shared between threads."""

    def __init__(self, repo: Repository, parser: Parser | None = None) -> None:
        self.repo = repo
        self._parser = parser or Parser()
        self._blobs = Blobs(repo)
        self._readings: dict[tuple[str, bool], Reading] = {}
        self._labels: dict[str, Labels] = {}
        self._trees = Trees(repo, self._ancestors)

    @cached_property
    def settings(self) -> Settings:
        """Settings in force: those of the work tree, else of main."""
        settings, problems = self._parser.read(SETTINGS_PATH, self._settings_bytes)
        if settings is None:
            raise InvalidRecipe("recipe-track.toml cannot be read", problems)
        found: Settings = settings
        return found

    def refuse_unknown(self) -> None:
        """Raise RepositoryError where this is no recipe repository, or one of a newer format."""
        newer = newer_than_known(self._settings_bytes)
        if newer is not None:
            raise RepositoryError(newer, "install a newer recipe-track")

    @property
    def main_branch(self) -> str:
        """The main branch by the settings, or by default where they name none that is here."""
        return self._main[0]

    @cached_property
    def _main(self) -> tuple[str, Refs]:
        """The main branch and all refs: a slip in the settings does not hide what main holds.

        Nor does an edit of them that nobody decided: another branch than the default is main where the
        first settings there were say so, or decided ones.
        """
        try:
            named = self.settings.main_branch
        except InvalidRecipe:
            named = MAIN_BRANCH
        if named == MAIN_BRANCH:
            return named, read_refs(self.repo, named)
        for branch in (named, MAIN_BRANCH):
            known = self._refs_of(branch)
            if known is not None and known.main is not None:
                decided = self._main_named_at(known.main) or branch
                is_known = decided == branch or (decided == MAIN_BRANCH and self._refs_of(decided) is None)
                return (branch, known) if is_known else (decided, read_refs(self.repo, decided))
        return named, read_refs(self.repo, named)

    def _refs_of(self, branch: str) -> Refs | None:
        """The refs with a branch as main; None where it is not whole here."""
        try:
            return read_refs(self.repo, branch)
        except RepositoryError:
            return None

    def _main_named_at(self, tip: str) -> str | None:
        settings = Trail(self.repo, self._blobs, self._parser, tip).settings
        return settings.main_branch if settings is not None else None

    @cached_property
    def _settings_bytes(self) -> bytes:
        if self.repo.root is not None:
            path = self.repo.root / SETTINGS_PATH
            if path.is_symlink():  # as git stores it: what lies outside is not the repository's
                return os.fsencode(path.readlink())
            if path.is_file():
                return path.read_bytes()
            if path.exists():
                raise RepositoryError(f"{path} is {what_else(path)}, and no file")
        for branch in ("HEAD", f"refs/heads/{MAIN_BRANCH}"):
            settings = content_at(self.repo, branch, SETTINGS_PATH)
            if settings is not None:
                return settings
        hint = "start one with `recipe-track new DIR`"
        raise RepositoryError(f"{self.repo.place} is not a recipe repository: no recipe-track.toml", hint)

    @cached_property
    def refs(self) -> Refs:
        """Main's tip, release tags and change branches."""
        return self._main[1]

    @cached_property
    def commits(self) -> tuple[Commit, ...]:
        """First-parent commits of main, newest first."""
        return walk(self.repo, self.refs.main) if self.refs.main else ()

    @cached_property
    def past_zones(self) -> Mapping[str, frozenset[str]]:
        """Zone names that main ever had, per model."""
        return zones_ever(self._ancestors())

    @cached_property
    def trail(self) -> Trail:
        """What main's whole ancestry says of records, decisions and edits."""
        releases = [release.commit for release in self.refs.releases]
        return Trail(self.repo, self._blobs, self._parser, self.tip(), releases)

    def _ancestors(self) -> tuple[Ancestor, ...]:
        return self.trail.ancestors if self.refs.main else ()

    def labels(self, model: str) -> Labels:
        """Revisions, releases and labels of a model."""
        if model not in self._labels:
            self._labels[model] = labels(
                model,
                self._ancestors(),
                self.refs.releases,
                plain=self.trail.plain if self.refs.main else str,
                content_of=self._trees.recipe,
            )
        return self._labels[model]

    def default_text(self) -> str:
        """`working`, or main's tip in a bare repository."""
        return self.tip() if self.repo.bare else WORKING

    def tip(self) -> str:
        """Main's last commit."""
        if self.refs.main is None:
            raise CallError(f"the branch `{self.main_branch}` has no commit yet")
        return self.refs.main

    def revision(self, text: str, model: str | None) -> Revision:
        """The revision a person typed: `working`, a label, or anything git understands."""
        if text == WORKING:
            if self.repo.bare:
                raise CallError("a bare repository has no working files", "name a revision")
            return Revision(WORKING, None, None)
        commit = (self.labels(model).commit(text) if model else None) or self._resolve(text, model)
        return self.revision_of(commit, model)

    def _resolve(self, text: str, model: str | None) -> str:
        try:
            return resolve(self.repo, text)
        except CallError as unknown:
            if model is None and len(self.model_names) > 1 and _LABEL.fullmatch(text):
                hint = "there are several models; name one with --model, or write model/r7"
                raise CallError(unknown.message, hint) from unknown
            raise

    def pair(self, before: str | None, after: str | None, model: str | None) -> tuple[Revision, Revision]:
        """Two revisions as a person names them; by default the last release and the working files."""
        new = self.revision(after or self.default_text(), model)
        if before is not None:
            return self.revision(before, model), new
        release = self.last_release(model) if model else None
        if release is None and new.commit is not None:
            raise CallError("there is no release yet to compare with", "name two revisions")
        return release or self.revision_of(self.tip(), model), new

    def revision_of(self, commit: str, model: str | None) -> Revision:
        """A commit as a revision of a model, with its label if it has one."""
        label = self.labels(model).of(commit) if model else None
        return Revision(label, commit, self._date(commit))

    def _date(self, commit: str) -> str:
        if self.refs.main and commit in self.trail.by_id:
            return self.trail.by_id[commit].date
        return walk(self.repo, commit, limit=1)[0].date

    def last_release(self, model: str) -> Revision | None:
        """The last release of a model on main."""
        latest = self.labels(model).latest
        return self.revision_of(latest.commit, model) if latest else None

    def read(self, revision: Revision, with_records: bool = False) -> Reading:
        """Everything written at a revision with its problems; committed content is read once."""
        known = (revision.commit or WORKING, with_records)
        if revision.commit is None:
            return self._read_working(with_records)
        if known not in self._readings:
            files = self._blobs.read(self._files(revision.commit, with_records))
            self._readings[known] = self.assembled(files, with_records)
        return self._readings[known]

    def read_main(self) -> Reading:
        """What is written on main's tip, of records and hull files what was first written: that counts.

        Others name a hull whose file was taken out, or a record: that it is gone is told once, of the file.
        """
        files = self._files(self.tip(), with_records=True)
        first = self.trail.first_texts
        if all(files.get(path) == self.trail.origins[path].blob for path in first):
            return self.read(self.revision_of(self.tip(), None), with_records=True)
        kept = {path: oid for path, oid in files.items() if path not in self.trail.origins}
        return self.assembled({**self._blobs.read(kept), **first}, with_records=True)

    def read_file(self, path: str, data: bytes) -> object | None:
        """The model of one file; None where it cannot be read."""
        model: object | None = self._parser.read(path, data)[0]
        return model

    def read_each(self, commits: Iterable[str]) -> dict[str, Reading]:
        """Everything written at some commits, records included, out of one pass over the history."""
        wanted = list(dict.fromkeys(commits))
        trees = self._trees.wholes(wanted)
        self._blobs.fetch(oid for tree in trees.values() for oid in tree.values())
        before: Mapping[str, str] = {}
        growth = nothing_yet(self._parser)
        for commit in wanted:
            tree = trees[commit]
            edited = {path: oid for path, oid in tree.items() if before.get(path) != oid}
            growth = growth.grown_with_records(
                self._blobs.read(edited), before.keys() - tree.keys(), self._parser, self.past_zones
            )
            before = tree
            self._readings[commit, True] = growth.reading
        return {commit: self._readings[commit, True] for commit in wanted}

    def read_staged(self) -> Reading:
        """Everything that the next commit will hold, records included, with its problems."""
        if self.repo.bare:
            raise CallError("nothing is staged in a bare repository", "name a revision")
        staged = {path: oid for path, oid in index_tree(self.repo).items() if path.endswith(".toml")}
        return self.assembled(self._blobs.read(staged), with_records=True)

    def assembled(self, files: Mapping[str, bytes], with_records: bool) -> Reading:
        """Files given as path → bytes, joined and checked."""
        return assemble(parse(files, self._parser), with_records, self.past_zones if with_records else None)

    def _read_working(self, with_records: bool) -> Reading:
        if self.repo.root is None:
            raise CallError("a bare repository has no working files", "name a revision")
        files, odd = working(self.repo.root, with_records)
        reading = self.assembled(files, with_records)
        return replace(reading, problems=(*_no_files(odd), *reading.problems)) if odd else reading

    def snapshot(self, revision: Revision, with_records: bool = False) -> Snapshot:
        """What is written at a revision; raises InvalidRecipe with every problem where it is not valid."""
        reading = self.read(revision, with_records)
        if reading.problems:
            raise InvalidRecipe(f"the recipe at {revision.shown} is not valid", reading.problems)
        return reading.snapshot

    def records_added(self, before: str, after: str) -> dict[str, Record]:
        """Records that one commit has and another has not; those that cannot be read are left to `check`."""
        known = self._record_files(before)
        return self._records({i: f for i, f in self._record_files(after).items() if i not in known})

    def records_named(self, commit: str, names: Iterable[str]) -> dict[str, Record]:
        """Records of a commit by id, in the order asked for; unknown ones are left out."""
        files = self._record_files(commit)
        return self._records({name: files[name] for name in names if name in files})

    def _record_files(self, commit: str) -> dict[str, tuple[str, str]]:
        files = self._files(commit, with_records=True)
        return {name: (path, oid) for path, oid in files.items() if (name := record_at(path)) is not None}

    def _records(self, files: Mapping[str, tuple[str, str]]) -> dict[str, Record]:
        contents = self._blobs.read(dict(files.values()))
        parsed = {name: self._parser.read(path, contents[path])[0] for name, (path, _) in files.items()}
        return {name: record for name, record in parsed.items() if record is not None}

    def gather(self, *revisions: Revision) -> None:
        """Fetch the recipes of some revisions, and all that stands on main today, in one go."""
        trees = [self._trees.recipe(r.commit) for r in revisions if r.commit is not None]
        if self.refs.main is not None:
            trees.append(self._trees.whole(self.refs.main))
        self._blobs.fetch(oid for tree in trees for oid in tree.values())

    def along(self, commits: Iterable[str]) -> Iterator[tuple[str, Reading]]:
        """The recipes of commits of main in the order given, each grown from the one before it.

        One log and one read of all content serve them all; a file that two of them share is read once.
        """
        wanted = list(commits)
        trees = self._trees.recipes(wanted)
        self._blobs.fetch(oid for tree in trees.values() for oid in tree.values())
        before: Mapping[str, str] = {}
        growth = nothing_yet(self._parser)
        for commit in wanted:
            tree = trees[commit]
            edited = {path: oid for path, oid in tree.items() if before.get(path) != oid}
            growth = growth.grown(self._blobs.read(edited), before.keys() - tree.keys(), self._parser)
            before = tree
            yield commit, growth.reading

    def files_at(self, commit: str) -> Mapping[str, str]:
        """Path → blob of every recipe file, hull and record at a commit."""
        return self._files(commit, with_records=True)

    def with_main_at(self, commit: str) -> Workspace:
        """The repository as it stood when main was at one of its commits: later tags are not there yet."""
        then = Workspace(self.repo, self._parser)
        behind, on = self.trail.behind(commit), self._date(commit)
        releases = tuple(r for r in self.refs.releases if r.commit in behind or r.date <= on)
        then.__dict__["refs"] = replace(self.refs, main=commit, releases=releases)
        return then

    def _files(self, commit: str, with_records: bool) -> Mapping[str, str]:
        return self._trees.whole(commit) if with_records else self._trees.recipe(commit)

    def current(self) -> Snapshot:
        """What is on main as far as it can be read, with records; only settings before the first commit."""
        if self.refs.main is None:
            return Snapshot(self.settings)
        return self._current

    @cached_property
    def _current(self) -> Snapshot:
        files = self._blobs.read(self._files(self.tip(), with_records=True))
        read = join_readable(files, self._parser, self.past_zones)
        settings = read.settings.model_copy(
            update={"approval": self.trail.approval or read.settings.approval}
        )
        return replace(read, settings=settings, hulls=self.trail.hulls, records=self.trail.records)

    def model_of(self, wanted: str | None, *snapshots: Snapshot) -> str:
        """The model asked for, or the only one there is."""
        known = sorted({model for snapshot in snapshots for model in snapshot.models})
        if wanted is not None:
            if wanted not in known:
                raise CallError(f"there is no model `{wanted}`", nearest(wanted, known))
            return wanted
        if not known:
            raise CallError("there is no model here yet", "write models/<model>/model.toml")
        if len(known) > 1:
            raise CallError("there are several models", f"name one with --model: {', '.join(known)}")
        return known[0]

    @cached_property
    def model_names(self) -> tuple[str, ...]:
        """Models in the work tree, else at main's tip; found by their folders without reading them."""
        if self.repo.root is not None:
            folders = sorted((self.repo.root / "models").glob("*/model.toml"))
            return tuple(path.parent.name for path in folders)
        files = map(file_at, self._files(self.tip(), with_records=False))
        return tuple(sorted(file.id for file in files if file and file.kind == "model"))

    def only_model(self, wanted: str | None) -> str | None:
        """The model whose labels a typed revision may use: the one wanted, or the only one there is."""
        if wanted is not None:
            return wanted
        return self.model_names[0] if len(self.model_names) == 1 else None


def _no_files(odd: Mapping[str, str]) -> tuple[Problem, ...]:
    hint = "put the file itself in its place"
    return tuple(
        Problem(path, None, None, "no-file", f"it is {what}, and no file", hint)
        for path, what in sorted(odd.items())
    )


@contextmanager
def open_workspace(
    path: Path | str = ".", parser: Parser | None = None, index_file: str | None = None
) -> Iterator[Workspace]:
    """Open the recipe repository that holds a folder; a parser may be shared by workspaces of one thread."""
    with open_repository(path, index_file=index_file) as repo:
        workspace = Workspace(repo, parser)
        workspace.refuse_unknown()
        yield workspace
