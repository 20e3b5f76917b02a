"""Lists as comma-separated values say what the lists in JSON say."""

import csv
import io
import json
from pathlib import Path

import pytest

from recipe_track.cli.main import run
from tests.journeys.gitrepo import environment, neutral_environment


def rows(example: Path, capfd: pytest.CaptureFixture[str], *args: str) -> tuple[list[dict[str, str]], object]:
    with environment(neutral_environment(example.parent / "home")):
        run(["-C", str(example), *args, "--csv"])
        table = capfd.readouterr().out
        run(["-C", str(example), *args, "--json"])
    return list(csv.DictReader(io.StringIO(table))), json.loads(capfd.readouterr().out)


@pytest.mark.parametrize(
    ("args", "key", "same"),
    [
        (("trial", "list"), "trials", ("id", "on", "hull", "zone_now", "state", "text", "conditions")),
        (("change", "list"), "changes", ("id", "category", "state", "release", "commit", "title", "reason")),
        (("deviation", "list"), "deviations", ("id", "type", "hull", "zone", "state", "called", "text")),
        (("audit",), "findings", ("rule", "subject", "message", "remedy")),
    ],
)
def test_a_list_is_the_same_in_both_forms(
    example: Path, capfd: pytest.CaptureFixture[str], args: tuple[str, ...], key: str, same: tuple[str, ...]
) -> None:
    table, body = rows(example, capfd, *args)
    assert isinstance(body, dict)
    assert len(table) > 1
    assert [[row[k] for k in same] for row in table] == [[row[k] or "" for k in same] for row in body[key]]


def test_the_fleet_has_a_line_for_each_part(example: Path, capfd: pytest.CaptureFixture[str]) -> None:
    table, body = rows(example, capfd, "hull", "list")
    assert isinstance(body, dict)
    built = [(h["hull"], p["part"], p["revision"], p["state"]) for h in body["hulls"] for p in h["part"]]
    assert [(row["hull"], row["part"], row["revision"], row["state"]) for row in table] == built


def test_a_list_has_one_form(example: Path, capfd: pytest.CaptureFixture[str]) -> None:
    with environment(neutral_environment(example.parent / "home")):
        assert run(["-C", str(example), "trial", "list", "--csv", "--json"]) == 2
    assert "exclude each other" in capfd.readouterr().err
