"""While a command works: its progress on a terminal's stderr, and an end within a second of Ctrl-C."""

import os
import select
import signal
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from time import monotonic
from types import FrameType

from recipe_track.progress import progress

QUIET_S = 0.5
EVERY_S = 0.2
HEED_S = 0.8
"""How long Ctrl-C may go unheeded: inside one long sum Python cannot stop, and the process is ended."""
INTERRUPTED = 130


class _Watch:
    """One thread beside the work; what it draws is on one line, which is gone before anything is said."""

    def __init__(self) -> None:
        self._started = monotonic()
        self._drawn = False
        self._lock = threading.Lock()
        self._silent = not sys.stderr.isatty()
        self._heeded = threading.Event()
        self._waker, self.bell = os.pipe()
        os.set_blocking(self.bell, False)
        self._ended = threading.Event()

    def run(self) -> None:
        """Until the command ends: draw, and listen for Ctrl-C, which arrives even inside a long sum."""
        while not self._ended.is_set():
            if select.select([self._waker], [], [], EVERY_S)[0] and signal.SIGINT in os.read(self._waker, 64):
                self._see_to_the_end()
            self._draw()
        os.close(self._waker)

    def _see_to_the_end(self) -> None:
        if not self._heeded.wait(HEED_S):
            self.hush()
            os.write(2, b"interrupted\n")
            os._exit(INTERRUPTED)

    def heed(self, _signal: int, _frame: FrameType | None) -> None:
        """Ctrl-C in the turn of the work itself."""
        self._heeded.set()
        raise KeyboardInterrupt

    def _draw(self) -> None:
        now = progress()
        with self._lock:
            if self._silent or now is None or monotonic() - self._started < QUIET_S:
                return
            sys.stderr.write(f"\r\x1b[K{now.what} {now.done:,} of {now.of:,} …")
            sys.stderr.flush()
            self._drawn = True

    def hush(self) -> None:
        """Take the line away, and draw no more."""
        with self._lock:
            if self._drawn:
                sys.stderr.write("\r\x1b[K")
                sys.stderr.flush()
            self._drawn, self._silent = False, True

    def end(self) -> None:
        """Nothing is left of it."""
        self.hush()
        self._ended.set()
        os.close(self.bell)  # which wakes the thread


_watch: _Watch | None = None


def hush() -> None:
    """Before anything is said: take the progress away."""
    if _watch is not None:
        _watch.hush()


@contextmanager
def watched() -> Iterator[None]:
    """Watch over the command that runs inside; in the main thread alone, where signals arrive."""
    global _watch
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    before, _watch = _watch, _Watch()
    handler = signal.signal(signal.SIGINT, _watch.heed)
    bell = signal.set_wakeup_fd(_watch.bell, warn_on_full_buffer=False)
    thread = threading.Thread(target=_watch.run, daemon=True)
    thread.start()
    try:
        yield
    finally:
        signal.set_wakeup_fd(bell)
        signal.signal(signal.SIGINT, handler)
        _watch.end()
        _watch = before
