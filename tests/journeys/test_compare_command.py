"""`compare` on the example and on made repositories: reasons, sides, what is remembered, the JSON contract."""

import json
import shutil
from pathlib import Path
from typing import Any

import pytest

from recipe_track.cli.main import run
from tests.journeys.gitrepo import GitRepo, environment, neutral_environment, person
from tests.recipes import WORKED

SIDE = "models/demo/deck/side.toml"


@pytest.fixture
def said(example: Path, capsys: pytest.CaptureFixture[str]) -> Any:
    def compare(*args: str) -> Any:
        capsys.readouterr()
        with environment(neutral_environment(example.parent / "home")):
            assert run(["-C", str(example), "compare", "--json", *args]) == 0
        return json.loads(capsys.readouterr().out)

    return compare


def test_every_key_of_the_contract_is_there(said: Any) -> None:
    body = said("r3", "r4")
    assert body["format"] == "recipe-track/compare/1"
    assert {"model", "before", "after", "reasons", "zones", "parts", "craft", "hulls"} <= set(body)
    assert set(body["before"]) == {"label", "commit", "date"}
    assert body["after"]["label"] == "r4"
    assert body["after"]["date"].endswith("Z")
    (reason,) = body["reasons"]
    assert {
        "change",
        "title",
        "reason",
        "category",
        "trials",
        "proposed_by",
        "approved_by",
        "commit",
        "date",
    } <= set(reason)
    zone = next(z for z in body["zones"] if z["zone"] == "deck/deck-support")
    assert {"zone", "before_zone", "status", "reversed", "layers", "figures", "causes", "causes_note"} <= set(
        zone
    )
    view = {"line", "material", "plies", "angle_deg", "thickness_mm", "fibre_mass_fraction", "flipped",
            "coverage_fraction", "note"}  # fmt: skip
    assert all(
        side is None or view <= set(side) for row in zone["layers"] for side in (row["before"], row["after"])
    )
    assert set(zone["figures"]["mass_kg"]) == {"before", "after", "delta", "percent"}
    assert set(zone["causes"]) == {"mass_kg", "ei_x_kn_m2_per_m", "ei_y_kn_m2_per_m", "deflection_mm", "cost"}
    assert set(zone["causes"]["cost"]) == {"layup", "geometry", "materials", "process", "prices"}
    assert {"lcg_m", "tcg_m", "vcg_m"} <= set(body["craft"]["figures"]) & set(body["parts"][0]["figures"])
    assert set(body["craft"]["balance"]) >= {"sinkage_mm", "trim_mm", "heel_deg"}
    assert set(body["craft"]["causes"]["mass_kg"]) >= {"other_masses"}
    assert [z["zone"] for z in body["zones"]] == sorted(z["zone"] for z in body["zones"])


def test_the_reason_is_the_record_with_its_observations(said: Any) -> None:
    (reason,) = said("r3", "r4")["reasons"]
    assert reason["change"] == "C-2M9XQ4"
    assert reason["reason"] == "too flexible at deck support"
    assert reason["trials"] == ["T-E5EZV4", "T-7K3QX2"]
    assert reason["proposed_by"].startswith("Marit Oosten <")
    assert reason["approved_by"].startswith("Aine Corrigan <")
    assert not reason["undone"]


def test_going_back_undoes_the_reason(said: Any) -> None:
    forth, back = said("r3", "r4"), said("r4", "r3")
    assert [r["change"] for r in back["reasons"]] == ["C-2M9XQ4"]
    assert back["reasons"][0]["undone"]
    zone = {
        body["after"]["label"]: next(z for z in body["zones"] if z["status"] == "changed")
        for body in (forth, back)
    }
    assert zone["r4"]["figures"]["mass_kg"]["delta"] == -zone["r3"]["figures"]["mass_kg"]["delta"]


def test_a_rejected_change_is_no_reason(said: Any) -> None:
    changes = {r["change"] for r in said("r6", "r7")["reasons"]}
    assert "C-73ZR06" not in changes
    assert "C-70FQM3" in changes


def test_a_commit_without_a_record_speaks_for_itself(said: Any) -> None:
    spoken = [r for r in said("r5", "r6")["reasons"] if r["change"] is None]
    assert [r["title"] for r in spoken] == ["Roof gelcoat 0.5 mm, the gun is set finer now"]


def test_a_renamed_zone_pairs_with_what_it_was(said: Any) -> None:
    zones = {z["zone"]: z for z in said("r1", "r2")["zones"]}
    assert zones["deck/deck-support"]["before_zone"] == "deck/flange"
    assert "deck/flange" not in zones


def test_by_default_the_last_release_and_the_working_files(said: Any) -> None:
    body = said()
    assert (body["before"]["label"], body["after"]) == (
        "r8",
        {"label": "working", "commit": None, "date": None},
    )
    assert body["hulls"]["before"] == ["016"]


@pytest.fixture
def repo(tmp_path: Path) -> GitRepo:
    made = GitRepo.create(tmp_path)
    for path in sorted(WORKED.rglob("*.toml")):
        made.write(path.relative_to(WORKED).as_posix(), path.read_text(encoding="utf-8"))
    made.commit("First issue\n\nReason: first issue of the demo")
    return made


def compare(repo: GitRepo, capsys: pytest.CaptureFixture[str], *args: str) -> Any:
    capsys.readouterr()
    with environment(repo.env()):
        assert run(["-C", str(repo.root), "compare", "--json", *args]) == 0
    return json.loads(capsys.readouterr().out)


def test_a_model_on_one_side_only(repo: GitRepo, capsys: pytest.CaptureFixture[str]) -> None:
    for path in sorted((repo.root / "models/demo").rglob("*.toml")):
        repo.write(
            path.relative_to(repo.root).as_posix().replace("models/demo", "models/other"), path.read_text()
        )
    repo.commit("Another model")
    found = compare(repo, capsys, "HEAD~1", "HEAD", "--model", "other")
    assert {z["status"] for z in found["zones"]} == {"added"}
    assert found["craft"]["figures"]["mass_kg"]["before"] is None
    assert found["craft"]["figures"]["mass_kg"]["after"] > 0


def test_a_remembered_comparison_is_the_same_and_is_forgotten_when_main_moves(
    repo: GitRepo, capsys: pytest.CaptureFixture[str]
) -> None:
    before = repo.head()
    repo.write(SIDE, (repo.root / SIDE).read_text().replace("thickness_mm = 20", "thickness_mm = 25"))
    repo.commit("Thicker core\n\nReason: too flexible")
    first = compare(repo, capsys, before, "HEAD")
    kept = list((repo.root / ".git/recipe-track").rglob("*.json"))
    assert len(kept) == 1
    assert compare(repo, capsys, before, "HEAD") == first
    # what is kept is what is shown: an entry written over shows
    entry = json.loads(kept[0].read_text())
    kept[0].write_text(json.dumps({**entry, "value": '{"kept": true}'}))
    assert compare(repo, capsys, before, "HEAD") == {"kept": True}
    # a release moves what labels hang on, and a worktree edit changes nothing
    repo.tag("demo/r1")
    assert compare(repo, capsys, before, "HEAD")["after"]["label"] == "r1"
    shutil.rmtree(repo.root / ".git/recipe-track")
    assert compare(repo, capsys, before, "r1")["zones"] == first["zones"]


def test_a_proposal_is_compared_with_its_own_reason(
    repo: GitRepo, capsys: pytest.CaptureFixture[str]
) -> None:
    repo.write(SIDE, (repo.root / SIDE).read_text().replace("thickness_mm = 20", "thickness_mm = 25"))
    with environment({**repo.env(), **person("ada")}):
        args = [
            "change",
            "propose",
            "--title",
            "Thicker core",
            "--reason",
            "too flexible for two people",
            "--category",
            "layup",
        ]
        assert run(["-C", str(repo.root), *args]) == 0
    change = capsys.readouterr().out.strip()
    found = compare(repo, capsys, "main", f"change/{change}")
    assert [(r["change"], r["approved_by"]) for r in found["reasons"]] == [(change, None)]
    assert found["after"]["label"] is None


def test_an_invalid_side_is_told_with_its_places(repo: GitRepo, capsys: pytest.CaptureFixture[str]) -> None:
    repo.write(SIDE, "area_m2 = 1,5\n")
    with environment(repo.env()):
        assert run(["-C", str(repo.root), "compare", "HEAD"]) == 1
    told = capsys.readouterr()
    assert told.out == ""
    assert f"{SIDE}:1:11" in told.err


def test_where_no_reason_is_recorded_it_is_said_whether_one_is_missing(
    example: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Nothing to give a reason for, and a reason still to be written down, are two matters."""
    shutil.copytree(example, tmp_path / "copy")
    support = tmp_path / "copy/models/pb98/deck/deck-support.toml"

    def why(*args: str) -> str:
        capsys.readouterr()
        with environment(neutral_environment(example.parent / "home")):
            assert run(["-C", str(tmp_path / "copy"), "compare", *args]) == 0
        return next(row for row in capsys.readouterr().out.split("\n") if row.startswith("why"))

    assert "no layer and no figure changed" in why("r8", "r8")
    support.write_bytes(support.read_bytes().replace(b"thickness_mm = 20", b"thickness_mm = 25"))
    assert "change propose" in why("main", "working")


def test_a_broken_minimum_is_said_on_top_and_once_in_its_zone(
    example: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Nobody has to read down to a zone's last line, or a key of a file, to see it."""
    shutil.copytree(example, tmp_path / "copy")
    support = tmp_path / "copy/models/pb98/deck/deck-support.toml"
    support.write_bytes(support.read_bytes().replace(b"thickness_mm = 20", b"thickness_mm = 5"))

    def said(*args: str) -> list[str]:
        capsys.readouterr()
        with environment(neutral_environment(example.parent / "home")):
            assert run(["-C", str(tmp_path / "copy"), *args]) == 0
        return capsys.readouterr().out.split("\n")

    rows = said("compare", "main")
    assert rows[1] == "1 of 23 zones changed: deck/deck-support (−3.6 kg)"
    assert rows[2].startswith("required minima NOT MET in deck/deck-support: core thickness 5.0 mm")
    assert len([row for row in rows[4:] if "core thickness 5.0 mm, at least 20.0 mm: NOT MET" in row]) == 1
    for found in (rows, said("figures", "deck/deck-support"), said("compare", "--format", "markdown")):
        assert not any("core_thickness_mm_min" in row for row in found)


def test_what_changed_beside_the_layers_is_named(example: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Minima entered anew move no figure; a zone marked changed has to say what did."""
    with environment(neutral_environment(example.parent / "home")):
        assert run(["-C", str(example), "compare", "r6", "r6+1"]) == 0
    assert capsys.readouterr().out.count("  also changed: required minima or their source\n") == 5
