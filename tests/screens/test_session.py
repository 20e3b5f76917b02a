"""One open workspace answers question after question, until something on disk changes."""

from pathlib import Path

import pytest

from recipe_track.errors import CallError
from recipe_track.tui.session import Session, open_session
from tests.example import copy_of_example


@pytest.fixture
def session(tmp_path: Path) -> Session:
    return open_session(copy_of_example(tmp_path / "yard"), None)


def test_the_same_workspace_answers_while_nothing_changes(session: Session) -> None:
    with session.workspace() as one:
        one.current()
    with session.workspace() as other:
        assert other is one


@pytest.mark.parametrize("path", ["models/pb98/hull/keel.toml", ".git/refs/heads/new"])
def test_another_one_answers_once_something_changed(session: Session, path: str) -> None:
    with session.workspace() as one:
        pass
    file = session.path / path
    file.write_bytes((file if file.exists() else session.path / ".git/refs/heads/main").read_bytes() + b"\n")
    with session.workspace() as other:
        assert other is not one


def test_two_questions_at_once_have_a_workspace_each(session: Session) -> None:
    with session.workspace() as one, session.workspace() as other:
        assert other is not one


def test_a_workspace_that_could_not_answer_is_not_kept(session: Session) -> None:
    with pytest.raises(CallError), session.workspace() as one:
        raise CallError("no")
    with session.workspace() as other:
        assert other is not one
