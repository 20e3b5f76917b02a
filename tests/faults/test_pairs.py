"""The same command twice at once: one does it, the other does it too or is refused, and nothing is undone."""

import pytest

from tests.faults.commands import Prepared
from tests.faults.processes import Processes
from tests.faults.stories import STORIES, Story, commits, in_order


@pytest.mark.parametrize("story", STORIES, ids=lambda story: story.name)
def test_a_pair_at_once(one: Prepared, started: Processes, story: Story) -> None:
    pair(one, started, story)


def pair(one: Prepared, started: Processes, story: Story) -> None:
    """Two processes of the same command, and what has to be true afterwards."""
    before = commits(one.yard)
    both = [story.start(started, one) for _ in range(2)]
    ended = [run.ended() for run in both]
    told = [(run.status, run.err) for run in ended]
    done = [run for run in ended if run.status == 0]
    assert {run.status for run in ended} <= {0, 1}, told
    assert len(done) == (2 if story.twice else 1), told
    assert all("Traceback" not in run.err for run in ended), told
    assert commits(one.yard) - before == len(done), "what was acknowledged is on main, once"
    in_order(one.yard)


def test_an_approval_beside_many_small_writers_gets_its_turn(one: Prepared, started: Processes) -> None:
    beside_small_writers(one, started, 8)


def beside_small_writers(one: Prepared, started: Processes, count: int) -> None:
    """An approval among some processes that log, all of which get through."""
    log, approve = STORIES[0], STORIES[1]
    before = commits(one.yard)
    runs = [log.start(started, one) for _ in range(count // 2)]
    runs.append(approve.start(started, one))
    runs += [log.start(started, one) for _ in range(count - count // 2)]
    told = [run.ended() for run in runs]
    assert [run.status for run in told] == [0] * (count + 1), [run.err for run in told]
    assert commits(one.yard) - before == count + 1
    in_order(one.yard)
