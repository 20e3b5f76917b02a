"""Who may decide: what someone else decides has no effect, whichever way it came to main."""

from pathlib import Path

import pytest

from tests.journeys.yard import (
    REQUIRED,
    SETTINGS,
    SIDE,
    Yard,
    new_yard,
    only,
    record,
    thicken,
)

BEN_DECIDES = SETTINGS + '\n[approval]\napprovers = ["ben@quay.example"]\n'
CRACK = ("--hull", "001", "--zone", "deck/side", "--observation", "crack", "--text", "a crack")


@pytest.fixture
def yard(tmp_path: Path) -> Yard:
    return new_yard(tmp_path, settings=BEN_DECIDES)


def logged(yard: Yard, severity: int = 4, who: str = "ada") -> str:
    return yard("trial", "log", *CRACK, "--severity", str(severity), who=who).id


def held(yard: Yard) -> list[str]:
    return [one["subject"] for one in yard.findings().get("hold", [])]


@pytest.mark.parametrize("decision", ["contained", "left-as-is", "rework", "not-found-again"])
@pytest.mark.parametrize("who", ["ada", "cem"])
def test_a_hold_is_lifted_by_someone_entitled_alone(yard: Yard, decision: str, who: str) -> None:
    trial = logged(yard)
    refused = yard("trial", "decide", trial, "--decision", decision, "--note", "n", who=who)
    assert refused.status == 1
    assert "entitled" in refused.err
    record(yard, "D-AAAAAA", who=who, kind="decision", about=trial, decision=decision, note="n")
    assert held(yard) == ["deck/side"]
    found = yard.findings()
    assert (
        "D-AAAAAA" in found["approved-by-proposer" if who == "ada" else "approver-not-entitled"][0]["subject"]
    )
    assert yard("trial", "decide", trial, "--decision", decision, "--note", "n", who="ben").status == 0
    assert held(yard) == []
    assert "approver-not-entitled" not in yard.findings()


def test_who_logged_it_does_not_close_it_though_entitled(yard: Yard) -> None:
    trial = logged(yard, who="ben")
    refused = yard("trial", "decide", trial, "--decision", "contained", "--note", "n", who="ben")
    assert (refused.status, "cannot decide on it" in refused.err) == (1, True)


def test_what_holds_nothing_is_closed_by_anyone(yard: Yard) -> None:
    trial = logged(yard, severity=3)
    assert yard("trial", "decide", trial, "--decision", "left-as-is", "--note", "n", who="ada").status == 0
    assert yard.findings() == {}


@pytest.mark.parametrize("key", ["zone=deck/coaming", "severity=2"])
def test_a_hold_is_not_carried_away_by_who_logged_it(yard: Yard, key: str) -> None:
    trial = logged(yard)
    refused = yard("record", "correct", trial, "--set", key, "--note", "typed wrongly", "--on", "2026-02-01")
    assert refused.status == 1
    name, value = key.split("=")
    keys = {"kind": "trial", "hull": "001", "zone": "deck/side", "observation": "crack", "text": "a crack"}
    keys |= {name: value} if name == "zone" else {}
    told = {"ada": "its own logger", "cem": "entitled"}
    for who, record_id in (("ada", "T-AAAAAA"), ("cem", "T-BBBBBB")):
        path, text = (
            f"records/2026/{record_id}.toml",
            _correction(yard, trial, who, keys, 2 if name != "zone" else 4),
        )
        yard.repo.commit(record_id, files={path: text}, who=who)
        found = yard.findings()
        assert held(yard) == ["deck/side"]
        assert any(
            told[who] in one["message"] or "wrote" in one["message"]
            for one in found["correction-without-effect"]
        )
    assert (
        yard("record", "correct", trial, "--set", key, "--note", "n", "--on", "2026-02-01", who="ben").status
        == 0
    )
    assert held(yard) == ([] if name == "severity" else ["deck/coaming"])


def _correction(yard: Yard, trial: str, who: str, keys: dict[str, str], severity: int) -> str:
    from tests.journeys.yard import record_text

    return record_text(who, yard.repo.today, replaces=trial, note="n", **keys) + f"severity = {severity}\n"


def test_an_approval_typed_by_hand_by_someone_not_entitled_covers_nothing(yard: Yard) -> None:
    thicken(yard)
    change = yard(
        "change", "propose", "--title", "t", "--reason", "too soft underfoot", "--category", "layup"
    ).id
    yard.repo.git("checkout", "--quiet", "--", ".")
    yard.repo.merge(f"change/{change}", "by hand", "cem")
    blob = yard.repo.git("rev-parse", f"HEAD:records/2026/{change}.toml")
    record(yard, "D-AAAAAA", who="cem", kind="decision", about=change, decides=blob, decision="approved")
    only(yard.findings(), "approver-not-entitled")
    assert yard("change", "show", change, "--json").json["state"] == "proposed"
    refused = yard("release", "demo")
    assert refused.status == 1
    assert SIDE in refused.err
    assert yard("change", "approve", change, who="ben").status == 0
    assert yard.findings() == {}
    assert yard("release", "demo").id == "r2"


def test_another_branch_is_main_only_where_that_was_decided(yard: Yard) -> None:
    yard.edit("recipe-track.toml", 'main_branch = "main"', 'main_branch = "trunk"')
    assert yard.findings() == {}  # not even committed
    yard.repo.commit("Trunk", who="cem")
    yard.repo.git("branch", "trunk")
    thicken(yard)
    yard.repo.commit("Thicker", who="cem")
    found = yard.findings()["edit-not-decided"]
    assert sorted(one["subject"] for one in found) == sorted([SIDE, "recipe-track.toml"])
    trial = logged(yard)
    assert yard.repo.git("cat-file", "-t", f"main:records/2026/{trial}.toml") == "blob"


def test_a_decided_edit_of_the_settings_makes_another_branch_main(yard: Yard) -> None:
    yard.edit("recipe-track.toml", 'main_branch = "main"', 'main_branch = "trunk"')
    change = yard(
        "change", "propose", "--title", "t", "--reason", "as the others", "--category", "settings"
    ).id
    assert yard("change", "approve", change, who="ben").status == 0
    yard.repo.git("branch", "trunk")
    trial = logged(yard)
    assert yard.repo.git("cat-file", "-t", f"trunk:records/2026/{trial}.toml") == "blob"


def test_a_shallow_clone_releases_nothing(yard: Yard, tmp_path: Path) -> None:
    thicken(yard)
    yard.change(approve="ben")
    shallow = tmp_path / "shallow"
    yard.repo.git("clone", "--quiet", "--depth=1", yard.root.as_uri(), str(shallow))
    yard.repo.git("-C", str(shallow), "fetch", "--quiet", "--tags", "--depth=1")
    refused = yard("release", "demo", at=shallow, who="ben")
    assert (refused.status, "shallow" in refused.err) == (1, True)
    told = yard("audit", "--json", at=shallow).json["findings"]
    assert "release-off-main" not in {one["rule"] for one in told}
    assert all(one["by"] is None for one in told if one["commit"] == yard.repo.head("main"))


def test_a_step_written_over_a_hold_is_a_finding_whatever_day_it_says(yard: Yard) -> None:
    assert (
        yard("hull", "part", "001", "--part", "deck", "--state", "in-mould", "--on", "2026-02-02").status == 0
    )
    trial = yard("trial", "log", *CRACK, "--severity", "4", "--on", "2026-02-10").id
    moved = ("hull", "part", "001", "--part", "deck", "--state", "demoulded", "--on", "2026-02-09")
    assert yard(*moved).status == 0
    yard("trial", "decide", trial, "--decision", "contained", "--note", "n", "--on", "2026-02-10", who="ben")
    (finding,) = yard.findings()["hold-ignored"]
    assert "demoulded" in finding["message"]


def test_a_part_laid_on_another_hull_over_a_hold_is_a_finding(yard: Yard) -> None:
    trial = logged(yard)
    assert yard("hull", "add", "002", "--model", "demo", "--revision", "r1").status == 0
    assert yard("hull", "part", "002", "--part", "deck", "--state", "in-mould").status == 0
    (finding,) = yard.findings()["hold-ignored"]
    assert (finding["subject"], trial in finding["message"]) == ("hull 002, deck", True)


def test_a_concession_that_breaks_a_minimum_is_accepted_with_a_reverification_alone(tmp_path: Path) -> None:
    yard = new_yard(tmp_path, required=REQUIRED)
    core = ("--line", "4", "--action", "left-out")
    report = ("deviation", "report", "001", "--zone", "deck/side", "--type", "nonconformity", "--text", "t")
    number = yard(*report, *core).id
    accept = ("deviation", "decide", number, "--decision", "accepted", "--note", "n")
    refused = yard(*accept, who="ben")
    assert (refused.status, "deck/side" in refused.err, "--reverified" in refused.err) == (1, True, True)
    assert yard(*accept, "--reverified", "calculation 7", who="ben").status == 2  # and who stands for it
    assert yard(*accept, "--reverified", "calculation 7", "--body", "J. Roe", who="ben").status == 0
    said = yard.repo.git("show", "--format=", "HEAD")
    assert 'document = "calculation 7"' in said
    harmless = yard(*report).id
    assert (
        yard("deviation", "decide", harmless, "--decision", "accepted", "--note", "n", who="ben").status == 0
    )


def test_the_hold_of_a_scrapped_copy_is_passed_over_by_laying_the_next_one_alone(yard: Yard) -> None:
    part = ("hull", "part", "001", "--part", "deck", "--state")
    assert yard(*part, "in-mould").status == 0
    logged(yard)
    assert yard(*part, "scrapped", "--note", "fire").status == 0
    assert yard(*part, "planned", "--revision", "r1").status == 0
    for state in ("in-mould", "demoulded", "fitted"):
        said = yard(*part, state)
        assert said.status == 0, said.err
    told = [one["message"].split(",")[0] for one in yard.findings()["hold-ignored"]]
    assert told == ["it went on (in-mould"]
