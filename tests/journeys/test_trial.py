"""Observations: logged offline in one commit, refused with near names, listed worst first, decided."""

import hashlib
import os
import pty
import subprocess
import sys
import tomllib
from datetime import date
from pathlib import Path

import pytest

from tests.journeys.yard import Yard, main_files, new_yard

LOG = ("trial", "log", "--hull", "001", "--zone", "deck/side", "--observation", "too-flexible")


@pytest.fixture
def yard(tmp_path: Path) -> Yard:
    return new_yard(tmp_path)


def log(yard: Yard, *more: str, severity: int = 3, who: str = "cem") -> str:
    return yard(*LOG, "--severity", str(severity), "--text", "moves underfoot", *more, who=who).id


def record(yard: Yard, record_id: str) -> dict[str, object]:
    path = next(path for path in main_files(yard) if path.endswith(f"{record_id}.toml"))
    return tomllib.loads(yard.repo.show("main", path).decode())


def test_a_logged_observation_is_one_commit_with_one_file(yard: Yard) -> None:
    before = yard.repo.head("main")
    trial = log(
        yard, "--on", "2026-02-03", "--conditions", "1 m sea", "--deflection-mm", "9", "--force-kn", "1.6",
        "--side-mm", "100",
    )  # fmt: skip
    assert yard.repo.head("main~1") == before
    assert yard.repo.git("diff", "--name-only", "main~1", "main") == f"records/2026/{trial}.toml"
    assert record(yard, trial) == {
        "kind": "trial", "by": "Cem Keel <cem@quay.example>", "on": date(2026, 2, 3),
        "hull": "001", "zone": "deck/side", "text": "moves underfoot", "observation": "too-flexible",
        "severity": 3, "conditions": "1 m sea",
        "measured": {"deflection_mm": 9.0, "force_kn": 1.6, "side_mm": 100.0},
    }  # fmt: skip
    assert yard.repo.git("status", "--porcelain") == ""


def test_attached_files_travel_in_the_same_commit(yard: Yard, tmp_path: Path) -> None:
    photo = tmp_path / "deck photo;1.jpg"
    photo.write_bytes(b"\xff\xd8\x00jpeg")
    trial = log(yard, "--attach", str(photo))
    path = f"photos/{trial}/deck-photo-1.jpg"
    digest = hashlib.sha256(photo.read_bytes()).hexdigest()
    assert record(yard, trial)["attachments"] == [{"path": path, "sha256": digest}]
    assert yard.repo.show("main", path) == photo.read_bytes()


def test_a_wrong_hull_or_zone_is_refused_with_the_nearest_name(yard: Yard) -> None:
    head = yard.repo.head("main")
    wrong_hull = yard(*(word.replace("001", "01") for word in LOG), "--severity", "2", "--text", "x")
    assert (wrong_hull.status, wrong_hull.out) == (2, "")
    assert "did you mean `001`?" in wrong_hull.err
    wrong_zone = yard(
        *(word.replace("deck/side", "deck/sid") for word in LOG), "--severity", "2", "--text", "x"
    )
    assert wrong_zone.status == 2
    assert "did you mean `deck/side`?" in wrong_zone.err
    assert yard.repo.head("main") == head


def test_what_is_missing_is_an_error_where_nobody_can_be_asked(yard: Yard) -> None:
    answer = yard("trial", "log", "--hull", "001")
    assert answer.status == 2
    assert "--zone is missing" in answer.err


def test_a_terminal_is_asked_for_what_is_missing(yard: Yard) -> None:
    """A hull by its number, not its place; zones of its release by place or name; the id alone on stdout."""
    yard.repo.write("models/demo/deck/later.toml", (yard.root / "models/demo/deck/side.toml").read_text())
    yard.change()
    master, slave = pty.openpty()
    process = subprocess.Popen(
        [sys.executable, "-m", "recipe_track", "-C", str(yard.root), "trial", "log", "--severity", "2"],
        stdin=slave, stderr=slave, stdout=subprocess.PIPE,
        env={**yard.repo.env("cem"), "PYTHONPATH": str(Path.cwd()), "TERM": "dumb"},
    )  # fmt: skip
    os.close(slave)
    os.write(master, b"1\n001\n2\ntoo-flexible\nmoves underfoot\n")
    out, _ = process.communicate(timeout=60)
    asked = os.read(master, 65536).decode()
    os.close(master)
    assert process.returncode == 0, asked
    assert "deck/side" in asked
    assert "deck/later" not in asked
    assert record(yard, out.decode().strip())["zone"] == "deck/side"


def test_without_an_identity_nothing_is_written(yard: Yard) -> None:
    head = yard.repo.head("main")
    nobody = {
        "GIT_AUTHOR_NAME": "",
        "GIT_AUTHOR_EMAIL": "",
        "GIT_COMMITTER_NAME": "",
        "GIT_COMMITTER_EMAIL": "",
    }
    answer = yard(*LOG, "--severity", "2", "--text", "x", **nobody)
    assert answer.status == 1
    assert "user.email" in answer.err
    assert yard.repo.head("main") == head
    assert not list(yard.root.rglob("T-*"))


def test_a_dry_run_shows_the_record_and_writes_nothing(yard: Yard) -> None:
    head = yard.repo.head("main")
    answer = yard(*LOG, "--severity", "2", "--text", "moves", "--dry-run")
    assert (answer.status, answer.out) == (0, "")
    assert 'text = "moves"' in answer.err
    body = yard(*LOG, "--severity", "2", "--text", "moves", "--dry-run", "--json").json
    assert (body["id"], body["commit"]) == (None, None)
    assert yard.repo.head("main") == head


def test_json_gives_the_id_and_the_commit(yard: Yard) -> None:
    body = yard(*LOG, "--severity", "2", "--text", "moves", "--json").json
    assert body["format"] == "recipe-track/trial-log/1"
    assert body["commit"] == yard.repo.head("main")
    assert body["files"] == [f"records/{body['files'][0][8:12]}/{body['id']}.toml"]


def test_open_observations_come_worst_first_with_holds_and_repeats(yard: Yard) -> None:
    mild, again = log(yard, severity=2), log(yard, severity=2)
    assert "on hold" not in yard.said[-1].err
    worst = log(yard, severity=5)
    assert "deck/side is on hold" in yard.said[-1].err
    rows = yard("trial", "list", "--open", "--json").json["trials"]
    assert rows[0]["id"] == worst
    assert {row["id"] for row in rows} == {mild, again, worst}
    assert {row["seen"] for row in rows} == {3}
    assert [row["hold"] for row in rows] == [True, False, False]
    text = yard("trial", "list", "--open").out
    assert "on hold: deck/side" in text
    assert "HOLD, open" in text
    assert yard("trial", "list", "--zone", "deck/coaming", "--json").json["trials"] == []
    assert yard("trial", "list", "--zone", "deck/nothing").status == 2


def test_containing_lifts_the_hold_and_a_closing_decision_answers(yard: Yard) -> None:
    trial = log(yard, severity=4)
    assert yard("trial", "decide", trial, "--decision", "contained").status == 1  # without a note
    decision = yard("trial", "decide", trial, "--decision", "contained", "--note", "not above 15 kn").id
    shown = yard("trial", "show", trial, "--json").json
    assert (shown["state"], shown["hold"]) == ("contained", False)
    assert [d["id"] for d in shown["decisions"]] == [decision]
    assert len(yard("trial", "list", "--open", "--json").json["trials"]) == 1
    yard("trial", "decide", trial, "--decision", "rework", "--note", "core bonded again")
    assert yard("trial", "show", trial, "--json").json["state"] == "answered"
    assert yard("trial", "list", "--open", "--json").json["trials"] == []
    refused = yard("trial", "decide", trial, "--decision", "left-as-is", "--note", "again")
    assert refused.status == 1
    assert "answered already" in refused.err


def test_an_approved_change_answers_what_it_lists(yard: Yard) -> None:
    trial = log(yard, severity=4)
    yard.edit("models/demo/deck/side.toml", "thickness_mm = 20", "thickness_mm = 25")
    change = yard.change("--trial", trial)
    shown = yard("trial", "show", trial, "--json").json
    assert (shown["state"], shown["answers"], shown["hold"]) == ("answered", [change], False)


def test_hostile_text_stays_text(yard: Yard) -> None:
    text = "[bold]x[/bold] \x1b[31mred\x1b[0m \u202egnihtyna\n\n--output=x\nChange: C-AAAAAA"
    trial = yard(*LOG, "--severity", "2", "--text", text).id
    assert record(yard, trial)["text"] == text
    shown = yard("trial", "show", trial).out
    assert "[bold]x[/bold]" in shown
    assert "\x1b" not in shown
    assert "\u202e" not in shown
    assert yard.findings() == {}
