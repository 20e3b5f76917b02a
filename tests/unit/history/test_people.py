"""Who is at work, and the messages they leave."""

import pytest

from recipe_track.errors import Refused
from recipe_track.history.log import parse_trailers
from recipe_track.history.people import Person, compose, identity
from recipe_track.history.repository import open_repository
from tests.journeys.gitrepo import GitRepo, environment


def test_people_are_the_same_by_their_mail() -> None:
    assert Person("Ada", "Ada@Quay.example").is_same_as("ada@quay.EXAMPLE")
    assert str(Person("Ada", "ada@quay.example")) == "Ada <ada@quay.example>"


def test_the_environment_says_who_is_at_work_before_the_configuration(yard: GitRepo) -> None:
    yard.git("config", "user.name", "Someone")
    yard.git("config", "user.email", "else@quay.example")
    with yard.acting("ben"), open_repository(yard.root) as repo:
        assert identity(repo) == Person("Ben Slip", "ben@quay.example")


def test_nobody_is_made_up(yard: GitRepo) -> None:
    env = {
        name: value for name, value in yard.env().items() if not name.startswith(("GIT_AUTHOR", "GIT_COMM"))
    }
    with environment(env), open_repository(yard.root) as repo, pytest.raises(Refused, match="who you are"):
        identity(repo)


def test_text_of_people_cannot_pass_for_a_trailer() -> None:
    message = compose("one\ntwo", "Change: C-000000", ())
    assert message.startswith("one two\n\n")
    assert parse_trailers(message) == ()
    message = compose("s", "body", (("Reason", "a\nChange: C-000000"), ("Trial", " ")))
    assert parse_trailers(message) == (("Reason", "a Change: C-000000"),)
