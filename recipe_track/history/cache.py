"""What can be computed again, kept in the git directory: keyed by content, safe to delete, safe to share."""

import contextlib
import hashlib
import json
import os
import shutil
import stat
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from recipe_track.history.repository import Repository

_FOLDER = "recipe-track"
_MOST_BYTES = 32 * 1024 * 1024


@dataclass
class Cache:
    """JSON values by key; a cache that cannot be read or written costs time and is no error."""

    folder: Path
    written: int = 0

    def get(self, key: str) -> Any:
        """The value kept under a key; None where there is none, or none that can be read."""
        with contextlib.suppress(OSError, ValueError):
            kept = json.loads(self._file(key).read_bytes())
            if isinstance(kept, dict) and kept.get("key") == key:
                return kept.get("value")
        return None

    def put(self, key: str, value: Any) -> bool:
        """Keep a value that JSON can hold; says whether it could be written."""
        file = self._file(key)
        content = json.dumps({"key": key, "value": value}, separators=(",", ":")).encode()
        try:
            file.parent.mkdir(parents=True, exist_ok=True)
            _write_whole(file, content)
        except OSError:  # a repository that may only be read, a full disk
            return False
        self.written += len(content)
        return True

    def _file(self, key: str) -> Path:
        name = hashlib.sha256(key.encode("utf-8", "surrogatepass")).hexdigest()
        return self.folder / name[:2] / f"{name[2:]}.json"


@contextmanager
def open_cache(repo: Repository, formulas: str, *, most_bytes: int = _MOST_BYTES) -> Iterator[Cache]:
    """The cache of a repository for one version of the formulas; what other versions left is thrown away."""
    home = repo.common_dir / _FOLDER
    cache = Cache(home / hashlib.sha256(formulas.encode()).hexdigest()[:16])
    with contextlib.suppress(OSError):  # there is none yet
        for other in list(home.iterdir()):
            if other != cache.folder:
                shutil.rmtree(other, ignore_errors=True)
    yield cache
    if cache.written:
        _trim(cache.folder, most_bytes)


def _trim(folder: Path, most_bytes: int) -> None:
    """Once the cache has outgrown its room, drop the oldest entries until half of it is free again."""
    entries = sorted((status.st_mtime_ns, status.st_size, file) for file, status in _entries(folder))
    total = sum(size for _, size, _ in entries)
    if total <= most_bytes:
        return
    for _, size, file in entries:
        if total <= most_bytes // 2:
            return
        with contextlib.suppress(OSError):  # another process was faster
            file.unlink()
        total -= size


def _entries(folder: Path) -> Iterator[tuple[Path, os.stat_result]]:
    for file in folder.rglob("*"):
        with contextlib.suppress(OSError):  # deleted meanwhile
            status = file.stat()
            if stat.S_ISREG(status.st_mode):
                yield file, status


def _write_whole(file: Path, content: bytes) -> None:
    """Write beside and rename, so that nobody ever reads half an entry."""
    handle, beside = tempfile.mkstemp(dir=file.parent, suffix=".tmp")
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(content)
        Path(beside).replace(file)
    except OSError:
        Path(beside).unlink(missing_ok=True)
        raise
