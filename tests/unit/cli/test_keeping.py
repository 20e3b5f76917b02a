"""An answer about what is committed is made once, and made again when anything it hangs on has moved."""

import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

from recipe_track.cli.main import run
from recipe_track.review.past import course
from tests.example import copy_of_example


def git(yard: Path, *args: str) -> None:
    subprocess.run(
        ("git", "-C", str(yard), "-c", "user.name=A", "-c", "user.email=a@x.org", *args), check=True
    )


def settings_edited(yard: Path) -> None:
    with (yard / "recipe-track.toml").open("a") as file:
        file.write("# edited\n")


MOVES: dict[str, Callable[[Path], None]] = {
    "commit": lambda yard: git(yard, "commit", "-q", "--allow-empty", "-m", "nothing"),
    "tag": lambda yard: git(yard, "tag", "-d", "pb98/r8"),
    "branch": lambda yard: git(yard, "branch", "change/C-ZZZZZZ"),
    "settings": settings_edited,
    "model": lambda yard: (yard / "models/pb98/model.toml").rename(yard / "models/pb98/gone.toml") and None,
}


@pytest.fixture
def made(monkeypatch: pytest.MonkeyPatch) -> list[object]:
    """What was asked of the history itself."""
    counted: list[object] = []
    real = course.course_of
    monkeypatch.setattr(course, "course_of", lambda *asked: (counted.append(asked), real(*asked))[1])
    return counted


@pytest.mark.parametrize("move", MOVES)
def test_an_answer_is_made_again_when_something_moves(
    move: str, tmp_path: Path, made: list[object], capsys: pytest.CaptureFixture[str]
) -> None:
    yard = copy_of_example(tmp_path / "yard")

    def told() -> str:
        assert run(["-C", str(yard), "history", "--json"]) == 0
        return capsys.readouterr().out

    first = told()
    assert told() == first
    assert len(made) == 1
    MOVES[move](yard)
    told()
    assert len(made) == 2


def test_another_question_is_another_answer(
    tmp_path: Path, made: list[object], capsys: pytest.CaptureFixture[str]
) -> None:
    yard = copy_of_example(tmp_path / "yard")
    told = []
    for asked in (["history"], ["history", "--json"], ["history", "--csv"], ["history", "hull/keel"]):
        assert run(["-C", str(yard), *asked]) == 0
        told.append(capsys.readouterr().out)
    assert len(made) == len(set(told)) == 4


def test_the_status_is_kept_with_the_answer(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    yard = copy_of_example(tmp_path / "yard")
    status = {run(["-C", str(yard), "audit", "--json"]) for _ in range(3)}
    assert status == {1}
    assert len(set(capsys.readouterr().out.split("\n}\n"))) == 2  # one answer, and nothing behind the last
