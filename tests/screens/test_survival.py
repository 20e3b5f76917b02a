"""The screens survive whatever a look in the background raises or hangs on; `q` always ends the process."""

import os
import pty
import select
import shutil
import signal
import stat
import subprocess
import sys
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from threading import Event, Thread
from time import monotonic, sleep
from typing import Any, NoReturn

import pytest

from recipe_track.tui import threads
from recipe_track.tui.background import Background
from tests.screens.driving import opened
from tests.screens.screen_text import lines_of

SCREENS = {"1": "compare", "2": "history", "3": "trials", "4": "hulls", "5": "changes"}


def _fail(*_args: Any, **_named: Any) -> NoReturn:
    raise ZeroDivisionError("half a ply")


def _failing(question: Callable[..., object]) -> Callable[..., object]:
    return _fail


async def test_an_exception_of_a_look_stands_in_the_place_of_the_figures(
    example: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with opened(example, before="r3", after="r4") as drive:
        with monkeypatch.context() as broken:
            broken.setattr("recipe_track.tui.screens.compare.view_comparison", _fail)
            await drive.press("x")
            text = "\n".join(lines_of(drive.app))
            assert "a mistake of the program: ZeroDivisionError: half a ply" in text
        await drive.press("escape")
        assert "half a ply" not in "\n".join(lines_of(drive.app))
        assert drive.app.screen.query_one("#stack").display
        await drive.press("x")
        assert "r4" in "\n".join(lines_of(drive.app))


@pytest.mark.parametrize("key", ["2", "3", "4", "5"])
async def test_every_list_survives_an_exception_of_its_reading(
    example: Path, monkeypatch: pytest.MonkeyPatch, key: str
) -> None:
    whole = Background.ask
    with monkeypatch.context() as broken:

        def ask(self: Background, topic: str, question: Any, *rest: Any) -> None:
            whole(self, topic, _failing(question) if topic == "list" else question, *rest)

        broken.setattr(Background, "ask", ask)
        async with opened(example, before="r3", after="r4") as drive:
            await drive.press(key)
            assert "a mistake of the program: ZeroDivisionError" in "\n".join(lines_of(drive.app))
            await drive.press("escape", "1")
            assert "r4" in "\n".join(lines_of(drive.app))


async def test_an_exception_in_showing_an_answer_is_told_too(
    example: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with opened(example, before="r3", after="r4") as drive:
        with monkeypatch.context() as broken:
            broken.setattr("recipe_track.tui.screens.compare.craft.missed_targets", _fail)
            await drive.press("x")
            assert "half a ply" in "\n".join(lines_of(drive.app))
        await drive.press("escape", "2")
        assert drive.app.is_running


async def test_a_look_at_the_disk_that_fails_is_tried_again(
    example: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with opened(example, before="r3", after="r4") as drive:
        background = drive.app.screen.background  # type: ignore[attr-defined]
        seen: list[int] = []
        with monkeypatch.context() as broken:
            broken.setattr("recipe_track.tui.session.Session.stamps", _fail)
            background.look(lambda: seen.append(1))
        background.look(lambda: seen.append(1))
        await drive.settle()
        assert seen == []
        assert drive.app.is_running


async def test_escape_leads_back_from_a_look_that_never_returns(
    example: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    never = Event()
    async with opened(example, before="r3", after="r4") as drive:
        before = lines_of(drive.app)
        with monkeypatch.context() as stuck:
            stuck.setattr("recipe_track.tui.screens.compare.view_comparison", lambda *_, **__: never.wait(60))
            await drive.pilot.press("x")
            await drive.pilot.pause(0.2)
            assert "reading …" in "\n".join(lines_of(drive.app))
            await drive.pilot.press("escape")
            await drive.pilot.pause(0.2)
            assert lines_of(drive.app) == before
            never.set()
            await drive.settle()
        assert lines_of(drive.app) == before


def test_leaving_waits_for_what_is_written_but_not_for_ever() -> None:
    go = Event()
    thread = Thread(target=go.wait, args=(60,), daemon=True)
    thread.start()
    threads._writing.add(thread)
    try:
        assert threads.finish_writing(0.05) is False
        go.set()
        assert threads.finish_writing(30.0) is True
    finally:
        threads._writing.discard(thread)


def _read_until(screen: int, wanted: str, within_s: float) -> str:
    """What a terminal was sent until some words were among it."""
    end, text = monotonic() + within_s, ""
    while wanted not in text and monotonic() < end:
        if select.select([screen], [], [], 0.2)[0]:
            text += os.read(screen, 65536).decode("utf-8", "replace")
    return text


@pytest.mark.process
@pytest.mark.parametrize("key", ["q", "2q"])
def test_q_ends_the_process_beside_a_git_that_never_answers(
    own_example: Path, tmp_path: Path, key: str
) -> None:
    """One real process on a terminal: git hangs once the screens stand, and so does every look from then on."""
    hang, bin_folder = tmp_path / "hang", tmp_path / "bin"
    bin_folder.mkdir()
    program = bin_folder / "git"
    program.write_text(f'#!/bin/sh\n[ -e "{hang}" ] && exec sleep 600\nexec "{shutil.which("git")}" "$@"\n')
    program.chmod(program.stat().st_mode | stat.S_IXUSR)
    screen, terminal = pty.openpty()
    env = {
        **os.environ,
        "PATH": f"{bin_folder}{os.pathsep}{os.environ['PATH']}",
        "COLUMNS": "100",
        "LINES": "30",
    }
    call = [sys.executable, "-m", "recipe_track", "-C", str(own_example), "ui", "r3", "r4"]
    running = subprocess.Popen(
        call, stdin=terminal, stdout=terminal, stderr=terminal, env=env, start_new_session=True
    )
    try:
        assert "deck/deck-support" in _read_until(screen, "deck/deck-support", 120.0)
        hang.touch()
        os.write(screen, b"x")  # a comparison that will never come
        sleep(1.0)
        for one in key:
            os.write(screen, one.encode())
            sleep(0.5)
        end = monotonic() + 60.0
        while running.poll() is None and monotonic() < end:
            _read_until(screen, "\0never", 0.2)
        assert running.poll() == 0
    finally:
        with suppress(ProcessLookupError):
            os.killpg(running.pid, signal.SIGKILL)
        running.wait()
        os.close(terminal)
        os.close(screen)
