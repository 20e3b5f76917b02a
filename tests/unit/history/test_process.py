"""One run of git: fixed options, an English and neutral environment, input of any length."""

import os

import pytest

from recipe_track.errors import CallError
from recipe_track.history.process import clean_environment
from recipe_track.history.repository import open_repository
from tests.journeys.gitrepo import GitRepo


def test_variables_that_lead_elsewhere_are_dropped_and_others_stay(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("GIT_DIR", "GIT_INDEX_FILE", "GIT_EXTERNAL_DIFF", "GIT_AUTHOR_NAME"):
        monkeypatch.setenv(name, "x")
    clean_environment()
    assert [name for name in os.environ if name in ("GIT_DIR", "GIT_INDEX_FILE", "GIT_EXTERNAL_DIFF")] == []
    assert os.environ["GIT_AUTHOR_NAME"] == "x"


def test_a_path_is_a_name_and_no_pattern(yard: GitRepo) -> None:
    yard.commit("odd", files={"models/[a].toml": "1", "models/a.toml": "2"})
    with yard.acting(), open_repository(yard.root) as repo:
        assert repo.git("ls-files", "--", "models/[a].toml") == b"models/[a].toml\n"
        assert repo.git("ls-files", "--", ":(glob)**") == b""


def test_more_input_than_a_pipe_holds_is_read(yard: GitRepo) -> None:
    lines = f"{yard.head()}\n".encode() * 20_000
    with yard.acting(), open_repository(yard.root) as repo:
        out = repo.git("cat-file", "--batch-check", "--buffer", stdin=lines)
    assert out.count(b"\n") == 20_000


@pytest.mark.parametrize("text", ["a\0b", "\ud800"])
def test_what_cannot_be_handed_over_is_refused(yard: GitRepo, text: str) -> None:
    with yard.acting(), open_repository(yard.root) as repo, pytest.raises(CallError):
        repo.run("rev-parse", text)
