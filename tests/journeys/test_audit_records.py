"""Records: kept as they were written, by the one they name; what the audit says before and after, and once answered."""

from pathlib import Path

import pytest

from tests.journeys.yard import (
    SETTINGS,
    Yard,
    answered,
    new_yard,
    only,
    record_path,
    record_text,
    thicken,
)

TRIAL = (
    "trial", "log", "--hull", "001", "--zone", "deck/side", "--observation", "crack", "--text", "a crack",
)  # fmt: skip
WEIGHING = {"kind": "weighing", "hull": "001", "part": "deck", "state": "trimmed"}


@pytest.fixture
def yard(tmp_path: Path) -> Yard:
    return new_yard(tmp_path)


def weighing(yard: Yard, record_id: str, mass: str, who: str = "ada", **keys: str) -> str:
    """A weighing put on main by hand."""
    text = record_text(who, **WEIGHING, **keys) + f"mass_kg = {mass}\n"
    yard.repo.reach("2026-02-01")
    yard.repo.commit(record_id, files={record_path(record_id): text}, who=who)
    return record_id


def test_an_altered_and_a_deleted_record(yard: Yard) -> None:
    first, second = yard(*TRIAL, "--severity", "2").id, yard(*TRIAL, "--severity", "2").id
    paths = {path.stem: path for path in (yard.root / "records").rglob("*.toml")}
    texts = {name: path.read_text() for name, path in paths.items()}
    paths[first].write_text(texts[first].replace("a crack", "a scratch"))
    paths[second].unlink()
    yard.repo.commit("tidy up", who="cem")
    found = yard.findings()
    assert sorted(found) == ["record-altered", "record-deleted"]
    assert found["record-altered"][0]["subject"] == first
    assert "Cem Keel" in found["record-altered"][0]["message"]
    assert found["record-deleted"][0]["subject"] == second
    assert "a crack" in yard("trial", "show", first).out  # what was first written counts
    assert yard("trial", "show", second).status == 0
    answered(yard, found["record-altered"][0], who="ben")
    paths[first].write_text(texts[first])
    yard.repo.commit("put it back")
    assert list(yard.findings()) == ["record-deleted"]
    paths[second].write_text(texts[second])
    yard.repo.commit("and the other")
    assert yard.findings() == {}


def test_a_record_that_was_moved_is_not_where_it_was(yard: Yard) -> None:
    trial = yard(*TRIAL, "--severity", "2").id
    (yard.root / "records/2025").mkdir()
    yard.repo.git("mv", f"records/2026/{trial}.toml", f"records/2025/{trial}.toml")
    yard.repo.commit("tidy up")
    found = yard.findings()
    assert [one["subject"] for one in (*found["record-deleted"], *found["record-altered"])] == [trial, trial]
    yard.repo.git("mv", f"records/2025/{trial}.toml", f"records/2026/{trial}.toml")
    yard.repo.commit("put it back")
    assert yard.findings() == {}


def test_a_hull_file_is_written_once_too(yard: Yard) -> None:
    text = (yard.root / "hulls/001.toml").read_text()
    yard.repo.commit("of whom", files={"hulls/001.toml": text + 'customer_reference = "Vermeer"\n'})
    assert only(yard.findings(), "record-altered")["subject"] == "hulls/001.toml"
    yard.repo.commit("back", files={"hulls/001.toml": text})
    assert yard.findings() == {}


def test_a_record_in_anothers_name_is_told_until_it_is_confirmed(yard: Yard) -> None:
    text = record_text(
        "ada", kind="deviation", type="nonconformity", hull="001", zone="deck/side", text="short"
    )
    yard.repo.reach("2026-02-01")
    yard.repo.commit("for Ada", files={record_path("N-AAAAAA"): text}, who="cem")
    decision = record_text("ben", kind="decision", about="N-AAAAAA", decision="accepted")
    yard.repo.commit("for Ben", files={record_path("D-AAAAAA"): decision}, who="cem")
    found = yard.findings()
    assert list(found) == ["hold", "record-by-another"]  # the decision has no effect, all else counts
    assert [one["subject"] for one in found["record-by-another"]] == ["N-AAAAAA", "D-AAAAAA"]
    assert "no effect" in found["record-by-another"][1]["message"]
    assert "record confirm D-AAAAAA" in found["record-by-another"][1]["remedy"]
    assert yard("record", "confirm", "D-AAAAAA", who="cem").status == 1
    assert yard("record", "confirm", "D-AAAAAA", who="ben").status == 0
    assert only(yard.findings(), "record-by-another")["subject"] == "N-AAAAAA"
    assert yard("record", "confirm", "N-AAAAAA", who="ada").status == 0
    assert yard.findings() == {}


def test_a_squash_by_one_person_waits_for_the_others_word(yard: Yard) -> None:
    """Edits that wait for such a decision are told under that one finding."""
    copy = Yard(yard.repo.clone("copy"))
    thicken(copy)
    change = copy.change()
    decision = copy.said[-1].id
    yard.repo.git("fetch", "--quiet", copy.root.as_uri(), "main")
    yard.repo.git("merge", "--quiet", "--squash", "FETCH_HEAD", who="ada")
    yard.repo.commit("Thicker core", who="ada")
    assert only(yard.findings(), "record-by-another")["subject"] == decision
    assert yard("change", "show", change, "--json").json["state"] == "proposed"
    assert yard("record", "confirm", decision, who="ben").status == 0
    assert yard.findings() == {}
    assert yard("change", "show", change, "--json").json["state"] == "approved"


def test_a_correction_by_just_anyone_has_no_effect(tmp_path: Path) -> None:
    yard = new_yard(tmp_path, settings=SETTINGS + '\n[approval]\napprovers = ["ben@quay.example"]\n')
    weighing(yard, "W-AAAAAA", "60.0")
    weighing(yard, "W-BBBBBB", "25.0", "cem", replaces="W-AAAAAA")
    finding = only(yard.findings(), "correction-without-effect")
    assert "which Ada Quay" in finding["message"]
    shown = yard("hull", "show", "001", "--json").json["weighings"]
    assert [row["mass_kg"] for row in shown] == [60.0]
    assert yard("record", "correct", "W-AAAAAA", "--set", "mass_kg=25", "--note", "n", who="cem").status == 1
    corrected = ("record", "correct", "W-AAAAAA", "--set", "mass_kg=25", "--note", "read off wrongly")
    assert yard(*corrected, who="ada").status == 0
    shown = yard("hull", "show", "001", "--json").json["weighings"]
    assert [row["mass_kg"] for row in shown] == [25.0]
    answered(yard, only(yard.findings(), "correction-without-effect"), who="ben")


@pytest.mark.parametrize(
    ("record_id", "keys", "told"),
    [
        (
            "T-BBBBBB",
            {"kind": "trial", "hull": "001", "zone": "deck/side", "text": "x"},
            "which is a weighing",
        ),
        ("W-BBBBBB", WEIGHING, ""),
    ],
)
def test_a_correction_is_of_its_kind(yard: Yard, record_id: str, keys: dict[str, str], told: str) -> None:
    weighing(yard, "W-AAAAAA", "60.0")
    more = {"observation": "noise"} if record_id[0] == "T" else {}
    text = record_text("ada", replaces="W-AAAAAA", **keys, **more)
    text += "severity = 2\n" if more else "mass_kg = 25.0\n"
    yard.repo.commit(record_id, files={record_path(record_id): text})
    found = yard.findings()
    assert told in str(found.get("correction-without-effect", ""))
    assert bool(told) == ("correction-without-effect" in found)


def test_a_hold_is_not_lifted_by_who_logged_it(yard: Yard) -> None:
    trial = yard(*TRIAL, "--severity", "4", "--on", "2026-02-01").id
    lift = ("record", "correct", trial, "--set", "severity=2", "--note", "seen too darkly")
    assert yard(*lift, who="ada").status == 1
    keys = {"kind": "trial", "hull": "001", "zone": "deck/side", "text": "a crack", "observation": "crack"}
    text = record_text("ada", replaces=trial, **keys) + "severity = 2\n"
    yard.repo.commit("by hand", files={record_path("T-BBBBBB"): text})
    assert sorted(yard.findings()) == ["correction-without-effect", "hold"]
    assert yard(*lift, who="ben").status == 0
    assert sorted(yard.findings()) == ["correction-without-effect"]


def test_two_corrections_of_one_record_disagree_until_one_is_corrected(yard: Yard) -> None:
    weighing(yard, "W-AAAAAA", "60.0")
    weighing(yard, "W-BBBBBB", "25.0", replaces="W-AAAAAA")
    weighing(yard, "W-CCCCCC", "40.0", replaces="W-AAAAAA")
    finding = only(yard.findings(), "corrections-disagree")
    assert finding["subject"] == "W-AAAAAA"
    assert "W-BBBBBB and by W-CCCCCC" in finding["message"]
    settle = ("record", "correct", "W-CCCCCC", "--set", "mass_kg=25", "--note", "as the other says")
    assert yard(*settle).status == 0
    assert yard.findings() == {}
    shown = yard("hull", "show", "001", "--json").json["weighings"]
    assert [row["mass_kg"] for row in shown] == [25.0]


def test_an_attachment_is_there_as_it_was(yard: Yard, tmp_path: Path) -> None:
    photo = tmp_path / "crack.jpg"
    photo.write_bytes(b"\xff\xd8\xff\xe0jpeg")
    trial = yard(*TRIAL, "--severity", "2", "--attach", str(photo)).id
    path = f"photos/{trial}/crack.jpg"
    yard.repo.write(path, b"\xff\xd8\xff\xe0brighter")
    yard.repo.commit("brighter", who="cem")
    finding = only(yard.findings(), "attachment-altered")
    assert (finding["subject"], finding["file"]) == (trial, path)
    assert "was altered" in finding["message"]
    assert finding["by"] == "Cem Keel <cem@quay.example>"
    answered(yard, finding, who="ben")
    (yard.root / path).unlink()
    yard.repo.commit("away with it")
    assert "is gone" in only(yard.findings(), "attachment-altered")["message"]
    yard.repo.write(path, photo.read_bytes())
    yard.repo.commit("put it back")
    assert yard.findings() == {}


def test_a_record_dated_ahead_is_put_right(yard: Yard) -> None:
    text = record_text("ada", "2026-01-09", **WEIGHING) + "mass_kg = 60.0\n"
    yard.repo.commit("W-AAAAAA", files={record_path("W-AAAAAA"): text})
    finding = only(yard.findings(), "record-dated-ahead")
    assert finding["subject"] == "W-AAAAAA"
    answered(yard, finding)
    assert yard("hull", "weigh", "001", "--part", "deck", "--mass-kg", "26", "--state", "trimmed", "--on",
                "2999-01-01").status == 2  # fmt: skip


def test_what_this_clone_saw_and_main_holds_no_more_is_a_notice(yard: Yard) -> None:
    before = yard.repo.head("main")
    trial = yard(*TRIAL, "--severity", "2").id
    assert yard.findings() == {}
    yard.repo.git("reset", "--quiet", "--hard", before)
    assert yard.findings() == {}  # behind what was seen is no loss
    yard.repo.commit("another way", files={"notes.txt": "x"})
    told = yard("audit", "--json")
    assert (told.status, told.json["findings"]) == (0, [])
    assert [(one["rule"], one["subject"]) for one in told.json["notices"]] == [("no-longer-on-main", trial)]
    assert "git branch rescued" in told.json["notices"][0]["remedy"]
    assert yard("audit", "--as-of", "r1", "--json").json["notices"] == []
    copy = Yard(yard.repo.clone("copy"))
    assert copy("audit", "--json").json["notices"] == []
