"""What one run of the screens is about: a repository, a model, and where changes on disk show."""

import stat
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from threading import Lock

from recipe_track.errors import CallError
from recipe_track.recipe.rules.names import nearest
from recipe_track.workspace import Workspace, open_workspace
from recipe_track.workspace.contents import RECIPE_ONLY

_REFS = ("refs", "reftable", "packed-refs", "shallow")
FileStamp = tuple[str, int, int]
"""Path, time and size of a file."""


@dataclass(frozen=True, slots=True)
class _Open:
    """A workspace with the stamps of all files at the time it was opened."""

    ws: Workspace
    stamps: frozenset[FileStamp]
    closing: ExitStack


@dataclass(eq=False, slots=True)
class _Idle:
    """Workspaces that no thread is using."""

    lock: Lock = field(default_factory=Lock)
    kept: list[_Open] = field(default_factory=list)

    def take(self, stamps: frozenset[FileStamp]) -> _Open | None:
        """One that is still what lies on disk; all others are closed."""
        with self.lock:
            fresh = [one for one in self.kept if one.stamps == stamps]
            for one in self.kept:
                if one.stamps != stamps:
                    one.closing.close()
            self.kept = fresh[1:]
            return fresh[0] if fresh else None

    def put(self, one: _Open) -> None:
        """Keep it for the next question."""
        with self.lock:
            self.kept.append(one)


@dataclass(frozen=True, slots=True)
class Session:
    """A recipe repository and one of its models; `root` is None where there are no working files."""

    path: Path
    model: str
    root: Path | None
    git_dir: Path
    common_dir: Path
    _idle: _Idle = field(default_factory=_Idle, compare=False, repr=False)

    @contextmanager
    def workspace(self) -> Iterator[Workspace]:
        """An open workspace for one thread: one that answered before, while nothing on disk has changed."""
        stamps = self.stamps()
        one = self._idle.take(stamps) or self._opened(stamps)
        try:
            yield one.ws
        except BaseException:
            one.closing.close()
            raise
        self._idle.put(one)

    def _opened(self, stamps: frozenset[FileStamp]) -> _Open:
        closing = ExitStack()
        return _Open(closing.enter_context(open_workspace(self.path)), stamps, closing)

    def stamps(self) -> frozenset[FileStamp]:
        """Of every file whose change may change a screen: working files, branches, tags."""
        places = [self.common_dir / name for name in _REFS] + [self.git_dir / "HEAD"]
        if self.root is not None:
            places += [self.root / name for name in RECIPE_ONLY]
        return frozenset(stamp for place in places for stamp in _stamps(place))


def open_session(path: Path, model: str | None) -> Session:
    """Look at a repository once; raises TrackError where there is nothing to show."""
    with open_workspace(path) as ws:
        repo = ws.repo
        return Session(repo.place, _model(ws, model), repo.root, repo.git_dir, repo.common_dir)


def _model(ws: Workspace, wanted: str | None) -> str:
    known = ws.model_names
    if wanted is not None and wanted not in known:
        raise CallError(f"there is no model `{wanted}`", nearest(wanted, known))
    return ws.only_model(wanted) or ws.model_of(None, ws.current())


def _stamps(place: Path) -> Iterator[FileStamp]:
    ahead = [place]
    while ahead:
        place = ahead.pop()
        try:
            status = place.lstat()
            if stat.S_ISDIR(status.st_mode):
                ahead += place.iterdir()
        except OSError:
            continue  # gone or closed to us between two looks, which the missing stamp tells
        yield str(place), status.st_mtime_ns, status.st_size
