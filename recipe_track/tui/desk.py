"""How a screen asks the repository: a thread with a workspace of its own, one question, one message back."""

from collections import Counter
from collections.abc import Callable
from functools import partial
from time import sleep
from typing import Any

from textual.message import Message
from textual.screen import Screen
from textual.timer import Timer

from recipe_track.errors import RepositoryError, TrackError
from recipe_track.figures.terms import NotComputable
from recipe_track.tui.session import Session
from recipe_track.tui.watching import Stamp, stamps
from recipe_track.workspace import Workspace, open_workspace

LOOK_EVERY_S = 1.0
WALKING_S = 0.15
Question = Callable[[Workspace], object]


class Answered(Message):
    """What came of a question; stale once the same topic was asked again."""

    def __init__(self, topic: str, generation: int, value: object) -> None:
        super().__init__()
        self.topic, self.generation, self.value = topic, generation, value


class Troubled(Message):
    """A question that could not be answered, and why."""

    def __init__(self, topic: str, generation: int, error: TrackError) -> None:
        super().__init__()
        self.topic, self.generation, self.error = topic, generation, error


class Looked(Message):
    """How the files and branches stood at a look."""

    def __init__(self, seen: frozenset[Stamp]) -> None:
        super().__init__()
        self.seen = seen


class Desk:
    """Asks on behalf of one screen and tells answers that still count from those that do not."""

    def __init__(self, screen: Screen[Any], session: Session) -> None:
        self.session = session
        self._screen = screen
        self._asked: Counter[str] = Counter()
        self._seen: frozenset[Stamp] | None = None
        self._timer: Timer | None = None

    def ask(self, topic: str, question: Question, wait_s: float = 0.0) -> None:
        """Ask in a thread; only the answer to the last question on a topic counts.

        With a wait, a question overtaken by the next one meanwhile is never put, as under a walking cursor.
        """
        self._asked[topic] += 1
        work = partial(self._answer, topic, self._asked[topic], question, wait_s)
        self._screen.run_worker(work, group=topic, exclusive=True, thread=True)

    def counts(self, message: Answered | Troubled) -> bool:
        """Whether a message answers the last question on its topic."""
        return message.generation == self._asked[message.topic]

    def watch(self) -> None:
        """Look at the disk every second, while the screen is in sight."""
        self._look()
        self._timer = self._screen.set_interval(LOOK_EVERY_S, self._look)

    def is_news(self, message: Looked) -> bool:
        """Whether anything changed since the look before; the first look is none."""
        news = self._seen is not None and message.seen != self._seen
        self._seen = message.seen
        return news

    def _look(self) -> None:
        if self._screen in self._screen.app.screen_stack:
            self._screen.run_worker(self._stamps, group="look", exclusive=True, thread=True)

    def _stamps(self) -> None:
        self._screen.post_message(Looked(stamps(self.session)))

    def _answer(self, topic: str, generation: int, question: Question, wait_s: float) -> None:
        sleep(wait_s)
        if generation != self._asked[topic]:
            return
        try:
            with open_workspace(self.session.path) as ws:
                self._screen.post_message(Answered(topic, generation, question(ws)))
        except NotComputable as missing:
            self._screen.post_message(Troubled(topic, generation, TrackError(str(missing))))
        except TrackError as error:
            self._screen.post_message(Troubled(topic, generation, error))
        except OSError as error:
            trouble = RepositoryError(f"the repository cannot be read: {error}")
            self._screen.post_message(Troubled(topic, generation, trouble))
