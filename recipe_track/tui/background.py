"""What a screen has done in threads: questions to the repository, writing to it, looking at the disk."""

from collections import Counter
from collections.abc import Callable
from functools import partial
from time import sleep
from typing import Any, TypeVar

from textual.screen import Screen
from textual.worker import Worker

from recipe_track.errors import RepositoryError, TrackError, mistake_of_the_program
from recipe_track.figures.materials import NotComputable
from recipe_track.tui.session import FileStamp, Session
from recipe_track.tui.threads import Job, in_thread, in_writing_thread
from recipe_track.workspace import Workspace, open_workspace

LOOK_EVERY_S = 1.0
WALKING_S = 0.15
"""How long the cursor has to rest on a row before its page is computed."""
Wanted = TypeVar("Wanted")


class Resting(Screen[Any]):
    """A screen that is not drawn while another lies over it.

    Textual 8 counts what shines through a dialog among the screens in sight, and one of those that has to be
    drawn once is drawn for ever, some tens of kilobytes a second. It is drawn anew when it comes back.
    """

    @property
    def is_current(self) -> bool:
        """Whether nothing lies over it."""
        return self.is_running and self.app.screen is self


class Background:
    """Works for one screen; every answer comes back as a call in the screen's own turn.

    A thread has a workspace to itself, since a handle is not to be shared, and touches no widget.
    """

    def __init__(self, screen: Screen[Any], session: Session) -> None:
        self.session = session
        self._screen = screen
        self._asked: Counter[str] = Counter()
        self._stamps: frozenset[FileStamp] | None = None
        self._looking = False

    def ask(
        self, topic: str, question: Callable[[Workspace], Wanted], on_answer: Callable[[Wanted], None],
        on_error: Callable[[TrackError], None], wait_s: float = 0.0,
    ) -> None:  # fmt: skip
        """Read in a thread; only the answer to the last question on a topic is passed on.

        With a wait, a question overtaken by the next one meanwhile is never put, as under a walking cursor.
        """
        self._asked[topic] += 1
        mine = self._asked[topic]

        def counts() -> bool:
            return self._asked[topic] == mine

        def deliver(reply: Callable[[], None]) -> None:
            if counts():
                _survived(reply, on_error)

        def work() -> None:
            sleep(wait_s)
            if counts():
                self._screen.call_later(deliver, self._reply(question, on_answer, on_error))

        self._start(in_thread(work), group=topic, exclusive=True)

    def _start(self, job: Job, group: str, exclusive: bool = False) -> Worker[None]:
        return self._screen.run_worker(job, group=group, exclusive=exclusive)

    def drop(self, topic: str) -> None:
        """Wait no longer for the answer on a topic: whatever comes is passed over."""
        self._asked[topic] += 1

    def write(
        self, act: Callable[[Workspace], Wanted], on_answer: Callable[[Wanted], None],
        on_error: Callable[[TrackError], None],
    ) -> None:  # fmt: skip
        """Write in a thread; nothing overtakes it, and what came of it is always passed on."""

        def work() -> None:
            self._screen.call_later(_survived, self._reply(act, on_answer, on_error, writes=True), on_error)

        self._start(in_writing_thread(work), group="write")

    def _reply(
        self, question: Callable[[Workspace], Wanted], on_answer: Callable[[Wanted], None],
        on_error: Callable[[TrackError], None], *, writes: bool = False,
    ) -> Callable[[], None]:  # fmt: skip
        """What is to be called with the answer, or with what stood in its way."""
        try:
            with open_workspace(self.session.path) if writes else self.session.workspace() as ws:
                return partial(on_answer, question(ws))
        except NotComputable as missing:
            return partial(on_error, TrackError(str(missing)))
        except TrackError as error:
            return partial(on_error, error)
        except OSError as error:
            return partial(on_error, RepositoryError(f"the repository cannot be read: {error}"))
        except Exception as error:
            return partial(on_error, _mistake(error))

    def watch(self, changed: Callable[[], None]) -> None:
        """Look at the disk every second while the screen is in sight; call when anything changed."""
        self._start_look(changed)
        self._screen.set_interval(LOOK_EVERY_S, partial(self._start_look, changed))

    def _start_look(self, changed: Callable[[], None]) -> None:
        # A look that never returns, as on a drive that went away, is not joined by one more each second.
        if self._screen in self._screen.app.screen_stack and not self._looking:
            self._looking = True
            self._start(in_thread(partial(self.look, changed)), group="look")

    def look(self, changed: Callable[[], None]) -> None:
        """Look once, in a thread; the first look tells nothing, and one that fails is tried again."""
        try:
            stamps = self.session.stamps()
        except Exception:
            stamps = None
        finally:
            self._looking = False
        if stamps is not None:
            self._screen.call_later(self._compare, stamps, changed)

    def _compare(self, stamps: frozenset[FileStamp], changed: Callable[[], None]) -> None:
        before, self._stamps = self._stamps, stamps
        if before is not None and stamps != before:
            changed()


def _survived(reply: Callable[[], None], on_error: Callable[[TrackError], None]) -> None:
    """Show an answer; what goes wrong in showing it is told in its place, and the app goes on."""
    try:
        reply()
    except Exception as error:
        on_error(_mistake(error))


def _mistake(error: Exception) -> TrackError:
    return TrackError(mistake_of_the_program(error), "everything else goes on; please report it")
