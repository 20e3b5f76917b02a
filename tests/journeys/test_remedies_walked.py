"""What a finding says ends it does end it, when it is done to the letter."""

import re
import shlex
import subprocess
from collections.abc import Mapping
from pathlib import Path

import pytest

from tests.journeys.yard import Yard, change_record, decide, new_yard, only, record, record_path, record_text

SEEN = (
    "--hull",
    "001",
    "--zone",
    "deck/side",
    "--observation",
    "crack",
    "--severity",
    "2",
    "--text",
    "a crack",
)


@pytest.fixture
def yard(tmp_path: Path) -> Yard:
    return new_yard(tmp_path)


def walk(yard: Yard, told: Mapping[str, str], who: str = "cem") -> None:
    """Do what a remedy names: the command between quotes, or after the colon; what is left open is said."""
    found = re.search(r"`([^`]+)`", told["remedy"]) or re.search(r"(git [^;)]+)", told["remedy"])
    assert found is not None, told["remedy"]
    command = found[1].replace("…", "said")
    if command.startswith("git "):
        env = yard.repo.env(who)
        subprocess.run(["sh", "-c", command], cwd=yard.root, env=env, check=True, capture_output=True)
    else:
        said = yard(*shlex.split(command), who=who)
        assert said.status == 0, said.err


def commit(yard: Yard) -> None:
    yard.repo.git("add", "--all")
    yard.repo.commit("put back", who="cem")


def test_a_release_tag_that_was_moved_is_put_back(yard: Yard) -> None:
    yard.repo.commit("more", files={"notes.txt": "x"})
    yard.repo.git("tag", "--force", "--annotate", "-m", "demo r1", "demo/r1", "HEAD")
    walk(yard, only(yard.findings(), "release-moved"))
    assert yard.findings() == {}


def test_a_decision_of_a_day_before_what_it_decides_is_told_of(yard: Yard) -> None:
    trial = yard("trial", "log", *SEEN, "--on", "2026-02-01").id
    record(yard, "D-AAAAAA", "ben", "2026-01-20", kind="decision", about=trial, decision="left-as-is")
    walk(yard, only(yard.findings(), "records-contradict"))
    assert yard.findings() == {}


def test_a_change_decided_both_ways_is_told_of(yard: Yard) -> None:
    change = change_record(yard)
    decide(yard, change, "rejected", "D-AAAAAA", "ben", "2026-02-02")
    decide(yard, change, "approved", "D-BBBBBB", "ben", "2026-02-03")
    walk(
        yard,
        only({r: f for r, f in yard.findings().items() if r == "records-contradict"}, "records-contradict"),
    )
    assert "records-contradict" not in yard.findings()


def test_a_correction_by_nobody_who_may_is_told_of(yard: Yard) -> None:
    trial = yard("trial", "log", *SEEN, "--severity", "4").id
    keys = {"kind": "trial", "hull": "001", "zone": "deck/side", "text": "a crack", "observation": "crack"}
    text = record_text("ada", yard.repo.today, replaces=trial, **keys) + "severity = 2\n"
    yard.repo.commit("lift it", files={record_path("T-AAAAAA"): text}, who="ada")
    told = yard.findings()["correction-without-effect"][0]
    walk(yard, {"remedy": told["remedy"].split("say so: ")[1]})
    assert "correction-without-effect" not in yard.findings()


@pytest.mark.parametrize("path", ["hulls/001.toml", "records/2026/C-AAAAAA.toml"])
def test_what_is_never_corrected_is_only_restored(yard: Yard, path: str) -> None:
    change_record(yard)
    (yard.root / path).write_text((yard.root / path).read_text() + '\nnote = "later"\n')
    commit(yard)
    found = {r: f for r, f in yard.findings().items() if r == "record-altered"}
    told = next(one for one in found["record-altered"] if one["file"] == path)
    assert "record correct" not in told["remedy"]
    walk(yard, told)
    commit(yard)
    assert "record-altered" not in yard.findings()


def test_an_attachment_comes_back_by_its_blob(yard: Yard, tmp_path: Path) -> None:
    photo = tmp_path / "crack.txt"
    photo.write_text("seen at frame 4\n")
    assert yard("trial", "log", *SEEN, "--attach", str(photo)).status == 0
    path = next(yard.root.glob("photos/*/crack.txt"))
    path.write_text("nothing\n")
    commit(yard)
    told = only(yard.findings(), "attachment-altered")
    assert re.search(r"as of [0-9a-f]{10}: git cat-file blob [0-9a-f]{10} > photos/", told["remedy"])
    walk(yard, told)
    commit(yard)
    assert yard.findings() == {}


def test_a_notice_ends_where_it_was_meant(yard: Yard) -> None:
    before = yard.repo.head("main")
    assert yard("trial", "log", *SEEN).status == 0
    assert yard.findings() == {}
    yard.repo.git("reset", "--quiet", "--hard", before)
    yard.repo.commit("another way", files={"notes.txt": "x"})
    (notice,) = yard("audit", "--json").json["notices"]
    walk(yard, {"remedy": notice["remedy"].split("if it was: ")[1]})
    assert yard("audit", "--json").json["notices"] == []
    assert yard("audit", "--json").json["notices"] == []
