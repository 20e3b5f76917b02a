"""Long work shows how far it has come on a terminal, and ends within a second of Ctrl-C, whatever it is doing."""

import os
import pty
import select
import signal
import subprocess
import sys
import threading
from time import monotonic

import pytest

from recipe_track.cli import waiting
from recipe_track.progress import progress, steps

pytestmark = pytest.mark.process

LONG = """
import sys, time
from recipe_track.cli import main
from recipe_track.progress import steps
def work(*_, **__):
    for _ in steps("comparing zones:", range(1000), 1000):
        {work}
main.cli.main = work
sys.exit(main.run(["check"]))
"""
IN_PYTHON = "time.sleep(0.05)"
IN_ONE_SUM = (
    "import hashlib; hashlib.pbkdf2_hmac('sha256', b'', b'', 900_000_000)"  # C code that hears no signal
)
AT_ONCE = "break"


def _on_a_terminal(work: str, interrupt: bool) -> tuple[int, str, float]:
    """Status, what the terminal got, and how long after the interrupt the end came [s]."""
    screen, terminal = pty.openpty()
    call = [sys.executable, "-c", LONG.format(work=work)]
    running = subprocess.Popen(call, stdin=terminal, stdout=terminal, stderr=terminal)
    os.close(terminal)
    text, start, told = "", monotonic(), None
    while monotonic() - start < 120:
        if select.select([screen], [], [], 0.05)[0]:
            try:
                text += os.read(screen, 65536).decode()
            except OSError:  # how Linux tells that nobody is left on the other side
                break
        if interrupt and told is None and "comparing zones" in text:
            running.send_signal(signal.SIGINT)
            told = monotonic()
    status = running.wait(60)
    os.close(screen)
    return status, text, monotonic() - (told or start)


@pytest.mark.parametrize("work", [IN_PYTHON, IN_ONE_SUM])
def test_progress_is_shown_and_ctrl_c_ends_it(work: str) -> None:
    status, text, seconds = _on_a_terminal(work, interrupt=True)
    assert status == 130
    assert "comparing zones: " in text
    assert " of 1,000 …" in text
    assert text.rstrip().endswith("interrupted")
    assert seconds < 60  # of a busy machine; the sum alone takes many minutes


def test_short_work_shows_nothing() -> None:
    status, text, _ = _on_a_terminal(AT_ONCE, interrupt=False)
    assert (status, text) == (0, "")


def test_what_is_no_terminal_gets_no_progress() -> None:
    done = subprocess.run(
        [sys.executable, "-c", LONG.format(work="time.sleep(0.001)")],
        capture_output=True,
        text=True,
        check=True,
    )
    assert (done.stdout, done.stderr) == ("", "")


def test_progress_counts_what_is_done() -> None:
    seen = [(thing, progress()) for thing in steps("reading", "ab", 2)]
    assert [(thing, now and (now.what, now.done, now.of)) for thing, now in seen] == [
        ("a", ("reading", 0, 2)),
        ("b", ("reading", 1, 2)),
    ]


def test_a_command_leaves_signals_and_threads_as_they_were() -> None:
    handler, threads = signal.getsignal(signal.SIGINT), threading.active_count()
    with waiting.watched():
        assert signal.getsignal(signal.SIGINT) != handler
        assert threading.active_count() == threads + 1
    assert signal.getsignal(signal.SIGINT) == handler
    end = monotonic() + 30
    while threading.active_count() > threads and monotonic() < end:
        threading.Event().wait(0.05)
    assert threading.active_count() == threads
