"""Threads that no one waits for when the screens are left; what is being written is given time to end."""

import asyncio
import contextvars
from collections.abc import Callable, Coroutine
from functools import partial
from threading import Thread
from time import monotonic

Job = Callable[[], Coroutine[None, None, None]]
FINISH_S = 15.0
"""How long leaving waits for something that is being written; what is killed then is whole or not there."""
_writing: set[Thread] = set()


def in_thread(work: Callable[[], None]) -> Job:
    """A job for a worker; a thread that never returns keeps neither the app nor the process."""
    return partial(_done, work, Thread)


def in_writing_thread(work: Callable[[], None]) -> Job:
    """The same for work that writes: `finish_writing` waits for it."""
    return partial(_done, work, _WritingThread)


class _WritingThread(Thread):
    def start(self) -> None:
        _writing.add(self)
        super().start()


async def _done(work: Callable[[], None], kind: type[Thread]) -> None:
    loop = asyncio.get_running_loop()
    done: asyncio.Future[None] = loop.create_future()
    inside = contextvars.copy_context().run  # the context in which textual keeps the app

    def tell() -> None:
        if not done.done():
            done.set_result(None)

    def run() -> None:
        try:
            inside(work)
        finally:
            if not loop.is_closed():
                loop.call_soon_threadsafe(tell)

    kind(target=run, daemon=True).start()
    await done


def finish_writing(most_s: float = FINISH_S) -> bool:
    """Wait for what is being written, but not for ever; whether all of it is done."""
    end = monotonic() + most_s
    for thread in _writing:
        thread.join(max(0.0, end - monotonic()))
    return not any(thread.is_alive() for thread in _writing)
