"""One writer at a time: the others wait in turn, and not for ever; a holder that is killed holds nothing."""

import os
import signal
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest

from recipe_track.errors import Refused, RepositoryError
from recipe_track.history import lock
from recipe_track.history.lock import FILE, writing
from recipe_track.history.repository import open_repository
from tests.journeys.gitrepo import GitRepo

HOLDER = """
import sys, time
from recipe_track.history.lock import writing
from recipe_track.history.repository import open_repository
with open_repository(".") as repo, writing(repo):
    print("held", flush=True)
    time.sleep(60)
"""


def test_a_second_writer_waits_until_the_first_is_done(yard: GitRepo) -> None:
    order: list[str] = []
    held = threading.Event()

    def first() -> None:
        with open_repository(yard.root) as repo, writing(repo):
            held.set()
            time.sleep(0.2)
            order.append("first")

    thread = threading.Thread(target=first)
    with yard.acting():
        thread.start()
        held.wait()
        with open_repository(yard.root) as repo, writing(repo):
            order.append("second")
        thread.join()
    assert order == ["first", "second"]


def test_linked_work_trees_share_the_lock_and_waiting_ends(
    yard: GitRepo, monkeypatch: pytest.MonkeyPatch
) -> None:
    linked = yard.worktree("linked", "-b", "side")
    with yard.acting(), open_repository(yard.root) as repo, open_repository(linked.root) as other:
        with writing(repo):
            monkeypatch.setattr(lock, "WAIT_SECONDS", 0.05)
            with pytest.raises(Refused, match="has been writing here") as refused, writing(other):
                pass
            assert f"process {os.getpid()}" in refused.value.hint
        with writing(other):
            assert (yard.root / ".git" / FILE).exists()


@pytest.mark.process
def test_a_holder_that_is_killed_holds_nothing(yard: GitRepo) -> None:
    env = yard.env() | {"PYTHONPATH": str(Path(__file__).parents[3])}
    holder = subprocess.Popen(
        [sys.executable, "-c", HOLDER], cwd=yard.root, env=env, stdout=subprocess.PIPE, text=True
    )
    assert holder.stdout is not None
    with holder.stdout as said:
        assert said.readline() == "held\n"
    holder.send_signal(signal.SIGKILL)
    holder.wait()
    with yard.acting(), open_repository(yard.root) as repo, writing(repo):
        pass


def test_where_no_lock_can_be_made_nothing_is_written(yard: GitRepo) -> None:
    (yard.root / ".git" / FILE).mkdir()
    with (
        yard.acting(),
        open_repository(yard.root) as repo,
        pytest.raises(RepositoryError, match="cannot be written"),
        writing(repo),
    ):
        pass
