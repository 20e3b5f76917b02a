"""Drive the app as a person does, and wait until it has nothing more to do."""

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager, suppress
from pathlib import Path
from typing import Any, TypeVar

from textual import events
from textual.pilot import Pilot
from textual.widget import Widget
from textual.worker import WorkerCancelled

from recipe_track.tui.app import TrackApp
from recipe_track.tui.session import open_session
from tests.screens.screen_text import lines_of

SMALL, LARGE = (80, 24), (120, 40)
W = TypeVar("W", bound=Widget)


class Drive:
    """A running app, its keyboard, and every text that it notified."""

    def __init__(self, app: TrackApp, pilot: Pilot[None], toasts: list[str]) -> None:
        self.app, self.pilot, self.toasts = app, pilot, toasts

    async def settle(self) -> None:
        """Until no worker runs and the screen is drawn the same twice: layout may take another turn."""
        drawn: list[str] = []
        await self._idle()
        while (now := lines_of(self.app)) != drawn:
            drawn = now
            await self.pilot.pause(0.02)
            await self._idle()

    async def _idle(self) -> None:
        """Until no worker runs and every message is handled."""
        await self.pilot.pause()
        while running := [worker for worker in self.app.workers if not worker.is_finished]:
            # a worker that a newer one replaced is cancelled, and waiting for it says so
            with suppress(WorkerCancelled):
                await self.app.workers.wait_for_complete(running)
            await self.pilot.pause()

    async def press(self, *keys: str) -> None:
        """Keys one after the other, each once the app has nothing more to do, and a settled screen at the end."""
        for key in keys:
            await self.pilot.press(key)
            await self._idle()
        await self.settle()

    async def close_dialogs(self) -> None:
        """Back to the screen under them."""
        while len(self.app.screen_stack) > 1:
            await self.pilot.press("escape")
            await self._idle()

    async def write(self, text: str) -> None:
        """Text into the field that has the focus, all at once."""
        self.app.post_message(events.Paste(text))
        await self.settle()

    def find(self, selector: str, kind: type[W]) -> W:
        """A widget of the screen in sight."""
        return self.app.screen.query_one(selector, kind)


@asynccontextmanager
async def opened(
    path: Path, size: tuple[int, int] = SMALL, before: str | None = None, after: str | None = None
) -> AsyncIterator[Drive]:
    """The app on a repository, settled; toasts and tooltips drawn as for a person."""
    app, toasts = TrackApp(open_session(path, None), before, after), []
    notify = app.notify

    def noted(message: str, **how: Any) -> None:
        toasts.append(message)
        notify(message, **how)

    app.notify = noted  # type: ignore[method-assign]
    async with app.run_test(size=size, notifications=True, tooltips=True) as pilot:
        drive = Drive(app, pilot, toasts)
        await drive.settle()
        yield drive
