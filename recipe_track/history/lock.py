"""One lock per repository for those who write to main: held by the system, so that a killed holder frees it.

It lies in the git directory that all linked work trees share. It keeps this program's processes from each
other; git and its own locks know nothing of it.
"""

import contextlib
import os
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from recipe_track.errors import Refused, RepositoryError
from recipe_track.history.repository import Repository

FILE = "recipe-track-writing"  # not *.lock: those are swept away after a crash, held or not
WAIT_SECONDS = 60.0
_PAUSE = 0.02


@contextmanager
def writing(repo: Repository) -> Iterator[None]:
    """Hold the lock; who comes first is served first, and nobody waits for ever."""
    file = repo.common_dir / FILE
    try:
        handle = os.open(file, os.O_RDWR | os.O_CREAT, 0o666)
    except OSError as error:
        raise RepositoryError(
            f"{repo.common_dir} cannot be written: {error.strerror}, so nothing was written"
        ) from error
    try:
        if not _taken(handle, WAIT_SECONDS):
            raise Refused(
                f"another recipe-track has been writing here for {WAIT_SECONDS:g} s, so nothing was written",
                f"try again; if it hangs, end it{_holder(file)}",
            )
        with contextlib.suppress(OSError):  # it is there to be read by people, no more
            os.ftruncate(handle, 0)
            os.write(handle, f"{os.getpid()}\n".encode())
        yield
    finally:
        os.close(handle)  # and with it the lock


def _holder(file: Path) -> str:
    with contextlib.suppress(OSError, UnicodeDecodeError):
        number = file.read_text("ascii").strip()
        return f": process {number}" if number.isdigit() else ""
    return ""


if sys.platform == "win32":  # pragma: no cover
    import msvcrt

    def _taken(handle: int, seconds: float) -> bool:
        """Whether the lock could be had within some seconds."""
        end = time.monotonic() + seconds
        while True:
            try:
                msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
            except OSError:
                if time.monotonic() > end:
                    return False
                time.sleep(_PAUSE)
            else:
                return True

else:
    import fcntl

    def _taken(handle: int, seconds: float) -> bool:
        """Whether the lock could be had within some seconds.

        The system serves those who wait in turn, where trying again and again would be a lottery; a thread
        waits, since the call itself knows no end. If it is served too late, the handle is closed by then, and
        the lock goes with it.
        """
        refused: list[OSError] = []

        def wait() -> None:
            try:
                fcntl.flock(handle, fcntl.LOCK_EX)
            except OSError as error:
                refused.append(error)

        waiter = threading.Thread(target=wait, daemon=True)
        waiter.start()
        waiter.join(seconds)
        if refused:
            raise Refused(f"no lock can be had here: {refused[0].strerror}, so nothing was written")
        return not waiter.is_alive()
