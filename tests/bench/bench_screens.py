"""What the screens write to a terminal, and how long a key takes: `python -m tests.bench.bench_screens [REPOSITORY]`.

The program runs on a terminal of this machine's own making. A key is settled when nothing has come for a while;
the time told is that of the last byte, on the clock, so that a busy machine makes it longer. At rest nothing is
to be written at all, under a dialog neither. No test.
"""

import fcntl
import os
import pty
import select
import signal
import statistics
import struct
import subprocess
import sys
import tempfile
import termios
import time
from pathlib import Path

PROGRAM = (sys.executable, "-m", "recipe_track")
ROWS, COLUMNS = 40, 120
QUIET_S, REST_S, MOST_S = 0.4, 4.0, 60.0
ZONE, ROW = b"\x1b[C", b"\x1b[B"
DIALOGS = {"help": b"?", "zones": b"z", "before": b"b", "why": b"y"}


class Terminal:
    """The program on a terminal, and what it writes."""

    def __init__(self, repo: Path) -> None:
        self.process, self._end = pty.fork()
        if self.process == 0:
            os.environ.update(TERM="xterm-256color", COLUMNS=str(COLUMNS), LINES=str(ROWS))
            os.execv(PROGRAM[0], [*PROGRAM, "-C", str(repo), "ui"])
        fcntl.ioctl(self._end, termios.TIOCSWINSZ, struct.pack("HHHH", ROWS, COLUMNS, 0, 0))

    def written(self, seconds: float) -> int:
        """Bytes that come within a time."""
        end, count = time.monotonic() + seconds, 0
        while (left := end - time.monotonic()) > 0:
            if select.select([self._end], [], [], left)[0]:
                count += len(os.read(self._end, 65536))
        return count

    def settled(self, key: bytes = b"", quiet: float = QUIET_S) -> tuple[float, int]:
        """Seconds until the last byte after a key, and how many bytes came."""
        start = last = time.monotonic()
        if key:
            os.write(self._end, key)
        count = 0
        while time.monotonic() - last < quiet and time.monotonic() - start < MOST_S:
            if select.select([self._end], [], [], quiet)[0]:
                count += len(os.read(self._end, 65536))
                last = time.monotonic()
        return last - start, count

    def close(self) -> None:
        """End the program."""
        os.kill(self.process, signal.SIGTERM)
        os.waitpid(self.process, 0)


def worst(times: list[float]) -> float:
    """The 95th percentile. [ms]"""
    return 1000 * statistics.quantiles(times, n=20)[-1]


def main() -> None:
    """Print every line beside what it should stay under."""
    with tempfile.TemporaryDirectory() as temporary:
        repo = Path(sys.argv[1]) if sys.argv[1:] else Path(temporary) / "example"
        if not sys.argv[1:]:
            subprocess.run((*PROGRAM, "demo", str(repo)), check=True, capture_output=True)
        terminal = Terminal(repo)
        print(f"first look settled: {terminal.settled(quiet=3)[0]:.2f} s")
        print(f"at rest: {terminal.written(REST_S) / REST_S:.0f} bytes/s (0)")
        for name, key in (("zone", ZONE), ("row", ROW)):
            found = [terminal.settled(key) for _ in range(12)]
            size = statistics.median(count for _, count in found)
            print(f"{name} key: {worst([s for s, _ in found]):.0f} ms (at most 100), {size:.0f} bytes")
        for name, key in DIALOGS.items():
            terminal.settled(key, quiet=1.5)
            print(f"at rest under {name}: {terminal.written(REST_S) / REST_S:.0f} bytes/s (0)")
            terminal.settled(b"\x1b", quiet=1)
        for name in ("2", "3", "4", "5", "1"):
            first, again = terminal.settled(name.encode(), quiet=2)[0], terminal.settled(b"1", quiet=1)[0]
            print(f"screen {name}: {1000 * first:.0f} ms, back {1000 * again:.0f} ms (at most 300)")
        terminal.close()


if __name__ == "__main__":
    main()
