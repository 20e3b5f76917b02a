"""The papers of the example: dossier, layup sheet and bill say what its history holds, the same everywhere."""

import json
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.example import copy_of_example
from tests.journeys.gitrepo import GitRepo, environment, neutral_environment
from tests.journeys.papers import Page, call

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
PDFINFO, PDFTOTEXT = shutil.which("pdfinfo"), shutil.which("pdftotext")
CSP = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; form-action 'none'"


@pytest.fixture(scope="module")
def yard(example: Path) -> Iterator[GitRepo]:
    with environment(neutral_environment(example.parent / "home")):
        yield GitRepo(example, example.parent / "home")


def page(repo: GitRepo, folder: Path, *args: str) -> str:
    target = folder / "page.html"
    assert call(repo, *args, "-o", str(target)) == 0
    return target.read_text(encoding="utf-8")


def body(repo: GitRepo, capsys: pytest.CaptureFixture[str], *args: str) -> dict[str, Any]:
    assert call(repo, *args, "--json") == 0
    found: dict[str, Any] = json.loads(capsys.readouterr().out)
    return found


def test_the_reach_of_a_change(yard: GitRepo, capsys: pytest.CaptureFixture[str]) -> None:
    """The deck support was stiffened in r4; the deck of 011 is older; that of 012 has it by retrofit."""
    reach = body(yard, capsys, "compare", "r3", "r4")["reach"]
    assert reach["parts"] == ["deck"]
    assert {(h["hull"], h["side"]) for h in reach["hulls"]} == {
        ("011", "before"), ("012", "after"), ("013", "after"), ("014", "after"), ("015", "after"),
        ("016", "after"),
    }  # fmt: skip
    assert [h["hull"] for h in reach["in_build"]] == ["015"]


def test_a_change_seen_backwards_has_the_same_hulls_on_the_other_side(
    yard: GitRepo, capsys: pytest.CaptureFixture[str]
) -> None:
    there = {h["hull"]: h["side"] for h in body(yard, capsys, "compare", "r3", "r4")["reach"]["hulls"]}
    back = {h["hull"]: h["side"] for h in body(yard, capsys, "compare", "r4", "r3")["reach"]["hulls"]}
    turned = {"before": "after", "after": "before"}
    assert back == {hull: turned[side] for hull, side in there.items()}


def test_some_hulls_lie_between_two_revisions(yard: GitRepo, capsys: pytest.CaptureFixture[str]) -> None:
    sides = {
        (h["hull"], h["part"]): h["side"] for h in body(yard, capsys, "compare", "r6", "r8")["reach"]["hulls"]
    }
    assert sides["015", "hull"] == "between"  # started to r7
    assert sides["015", "grid"] == "before"  # from the r6 kit
    assert sides["016", "hull"] == "after"


def test_a_price_list_lays_no_hull_otherwise(yard: GitRepo, capsys: pytest.CaptureFixture[str]) -> None:
    first, second = "pb98/r5^1^1", "pb98/r5"
    reach = body(yard, capsys, "compare", first, second)["reach"]
    assert reach["prices"]
    assert "grid" not in reach["parts"]


def test_a_hold_in_a_touched_zone_is_told(yard: GitRepo, capsys: pytest.CaptureFixture[str]) -> None:
    reach = body(yard, capsys, "compare", "r6", "r8")["reach"]
    assert [(h["record"], h["zone"]) for h in reach["holds"]] == [("T-SQHKYH", "hull/transom")]
    assert "T-SQHKYH" in {seen["trial"] for seen in reach["observations"]}
    assert body(yard, capsys, "compare", "r3", "r4")["reach"]["holds"] == []


def test_a_changed_fabric_reaches_the_zones_that_use_it(
    yard: GitRepo, capsys: pytest.CaptureFixture[str]
) -> None:
    materials = body(yard, capsys, "compare", "r1", "r3")["reach"]["materials"]
    zones = {entry["material"]: entry["zones"] for entry in materials}
    assert "deck/aft-deck" in zones["wr-600"]["pb98"]


def test_a_dossier_says_what_a_review_needs(yard: GitRepo, tmp_path: Path) -> None:
    html = page(yard, tmp_path, "dossier", "r3", "r4")
    found = Page(html)
    for words in (
        "C-2M9XQ4", "too flexible at deck support", "T-7K3QX2", "Marit Oosten", "Aine Corrigan",
        "deck/deck-support", "added uni-600 +3.2", "SC-098 rev B, sheet 7", "half load", "sinkage",
        yard.head("pb98/r3"), yard.head("pb98/r4"),
        "signature", "Figures are estimates", "without this change",
    ):  # fmt: skip
        assert words in found.text, words
    assert found.text.count("NOT RELEASED") == 0
    assert [tag for tag, _ in found.shape].count("svg") == 2  # the legend and the one zone


def test_a_page_is_self_contained(yard: GitRepo, tmp_path: Path) -> None:
    for args in (("dossier", "r3", "r4"), ("sheet", "deck", "--hull", "015")):
        html = page(yard, tmp_path, *args)
        found = Page(html)
        tags = {tag for tag, _ in found.shape}
        assert not tags & {"script", "link", "img", "iframe", "object", "embed", "form", "a", "use", "image"}
        assert not found.references
        assert f'content="{CSP}"' in html
        assert not re.search(r"url\((?!#)|@import|https?:", html)
        assert not any(name.startswith("on") for _, names in found.shape for name in names)


def test_a_dossier_marks_what_is_not_released_and_what_is_on_hold(yard: GitRepo, tmp_path: Path) -> None:
    tip = Page(page(yard, tmp_path, "dossier", "r8", "main"))
    assert "NOT RELEASED" in tip.text
    assert "HOLD" in Page(page(yard, tmp_path, "dossier", "r6", "r8")).text


def test_a_dossier_is_the_same_bytes_everywhere(yard: GitRepo, tmp_path: Path) -> None:
    """Twice, in another folder, another time zone, another locale and with another hash seed."""
    first = page(yard, tmp_path, "dossier", "r2", "r8")
    assert page(yard, tmp_path, "dossier", "r2", "r8") == first
    elsewhere = copy_of_example(tmp_path / "another folder" / "yard")
    target = tmp_path / "far.html"
    far = {"TZ": "Pacific/Kiritimati", "LC_ALL": "C", "PYTHONHASHSEED": "7", "COLUMNS": "200"}
    subprocess.run(
        [sys.executable, "-m", "recipe_track", "-C", str(elsewhere), "dossier", "r2", "r8", "-o", str(target)],
        env={**yard.env(), **far}, cwd=Path(__file__).parents[2], check=True, capture_output=True,
    )  # fmt: skip
    assert target.read_text(encoding="utf-8") == first


def test_a_page_replaces_the_old_one_whole_or_not_at_all(
    yard: GitRepo, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    target = tmp_path / "d.html"
    target.write_text("old", encoding="utf-8")
    assert body(yard, capsys, "dossier", "r3", "r4", "-o", str(target))["path"] == str(target)
    assert target.read_text(encoding="utf-8").startswith("<!DOCTYPE html>")
    assert [file.name for file in tmp_path.iterdir()] == ["d.html"]
    assert call(yard, "dossier", "r3", "r4", "-o", str(tmp_path)) == 2
    assert call(yard, "dossier", "r3", "r4", "-o", str(tmp_path / "no" / "d.html")) == 2
    assert [file.name for file in tmp_path.iterdir()] == ["d.html"]


def test_a_page_that_cannot_be_put_in_place_leaves_the_old_one_and_no_rest(
    yard: GitRepo, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    target = tmp_path / "d.html"
    target.write_text("old", encoding="utf-8")

    def refuse(self: Path, other: Path) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "replace", refuse)
    assert call(yard, "dossier", "r3", "r4", "-o", str(target)) == 2
    assert target.read_text(encoding="utf-8") == "old"
    assert [file.name for file in tmp_path.iterdir()] == ["d.html"]


def test_a_sheet_of_a_hull_is_that_of_its_own_release(
    yard: GitRepo, capsys: pytest.CaptureFixture[str]
) -> None:
    sheet = body(yard, capsys, "sheet", "deck/deck-support", "--hull", "013")
    assert sheet["revision"]["label"] == "r4"
    assert sheet["released"]
    assert sheet["previous"] == {"hull": "012", "revision": "r2"}
    steps = {step["line"]: step for step in sheet["zones"][0]["steps"]}
    assert steps[4]["material"] == "uni-600"
    assert steps[4]["changes"] == ["NEW"]
    assert steps[5]["changes"] == ["CHANGED: was pvc-80  15 mm"]
    assert steps[3]["changes"] == []
    older = body(yard, capsys, "sheet", "deck/deck-support", "--hull", "012")
    assert "uni-600" not in {step["material"] for step in older["zones"][0]["steps"]}


def test_a_sheet_shows_permits_and_concessions_of_its_hull_only(
    yard: GitRepo, capsys: pytest.CaptureFixture[str]
) -> None:
    words = body(yard, capsys, "sheet", "wheelhouse/sides", "--hull", "015")["zones"][0]["deviations"]
    assert [d["deviation"] for d in words] == ["N-0WCF4X"]
    assert words[0]["words"].startswith("DEVIATION PERMIT N-0WCF4X")
    assert body(yard, capsys, "sheet", "wheelhouse/sides", "--hull", "016")["zones"][0]["deviations"] == []
    built = body(yard, capsys, "sheet", "hull/bottom-aft", "--hull", "013")["zones"][0]["deviations"]
    assert built[0]["words"].startswith("CONCESSION")


def test_a_sheet_from_files_that_are_no_release_says_so_and_so_does_one_on_hold(
    yard: GitRepo, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Main's deck is not that of r8 any more; the hull shell is, and its transom is on hold."""
    assert body(yard, capsys, "sheet", "deck")["marks"] == ["NOT RELEASED"]
    shell = body(yard, capsys, "sheet", "hull")
    assert shell["marks"] == ["HOLD"]
    assert shell["revision"]["label"] == "r8"
    for args, mark in ((("sheet", "deck"), "NOT RELEASED"), (("sheet", "hull", "--hull", "016"), "HOLD")):
        html = page(yard, tmp_path, *args)
        assert f'aria-hidden="true">{mark}</div>' in html
        assert mark in html[html.index("<footer>") :]
        assert "for every hull built to this release" not in html


def test_a_sheet_carries_the_cautions_and_no_quantity_of_initiator(
    yard: GitRepo, capsys: pytest.CaptureFixture[str]
) -> None:
    assert call(yard, "sheet", "deck", "--hull", "015") == 0
    said = " ".join(capsys.readouterr().out.split())
    for words in (
        "safety data sheet and the local rules", "respirator", "goggles and gloves",
        "Never mix initiator and accelerator directly", "exotherm", "Dust", "drop test",
        "An older print of this sheet is void", f"hull 015 · r7, commit {yard.head('pb98/r7')}",
    ):  # fmt: skip
        assert words in said, words
    assert not re.search(r"initiator[^.]*\d", said, re.IGNORECASE)
    assert call(yard, "sheet", "grid", "--hull", "015") == 0
    assert "drop test" not in capsys.readouterr().out  # laid by hand, no vacuum


def test_unknown_parts_zones_and_hulls_are_named_with_the_nearest(
    yard: GitRepo, capsys: pytest.CaptureFixture[str]
) -> None:
    for args in (
        ("sheet", "dekc"),
        ("sheet", "deck/sid-deck"),
        ("sheet", "deck", "--hull", "01"),
        ("bill", "dekc"),
    ):
        assert call(yard, *args) == 2
        assert "did you mean" in capsys.readouterr().err, args
    assert call(yard, "sheet", "deck", "--hull", "015", "--at", "r8") == 2


def test_the_bill_of_the_example_is_its_material_cost_and_line_resin(
    yard: GitRepo, capsys: pytest.CaptureFixture[str]
) -> None:
    bill = body(yard, capsys, "bill", "pb98", "--at", "r8")
    craft = body(yard, capsys, "figures", "--at", "r8")["craft"]
    in_lines = (9.0 + 7.5) * 4.9  # hull and deck, price list 2026
    assert bill["total"]["cost"] == pytest.approx(craft["material_cost"] + in_lines, rel=1e-9)
    assert sum(m["cost"] for m in bill["materials"]) == pytest.approx(bill["total"]["cost"], rel=1e-9)


def chromium(folder: Path, *args: str) -> None:
    assert CHROMIUM is not None
    subprocess.run(
        [
            CHROMIUM, "--headless", "--no-sandbox", "--disable-gpu", "--no-first-run",
            "--disable-background-networking", f"--user-data-dir={folder / 'profile'}", "--hide-scrollbars",
            *args,
        ],
        check=True, capture_output=True, timeout=120,
    )  # fmt: skip


@pytest.mark.browser
@pytest.mark.skipif(CHROMIUM is None, reason="needs Chromium")
@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize(
    "args", [("dossier", "r2", "r8"), ("sheet", "hull", "--hull", "016")], ids=lambda a: a[0]
)
def test_a_browser_prints_the_page_with_its_footer_on_every_sheet(
    yard: GitRepo, tmp_path: Path, args: tuple[str, ...], paper: str
) -> None:
    page(yard, tmp_path, *args, "--paper", paper)
    source = (tmp_path / "page.html").as_uri()
    chromium(tmp_path, "--window-size=1000,1400", f"--screenshot={tmp_path / 'page.png'}", source)
    assert (tmp_path / "page.png").read_bytes().startswith(b"\x89PNG")
    pdf = tmp_path / "page.pdf"
    chromium(tmp_path, "--no-pdf-header-footer", f"--print-to-pdf={pdf}", source)
    if PDFINFO is None or PDFTOTEXT is None:
        pytest.skip("needs pdfinfo and pdftotext to look into the print")
    facts = subprocess.run([PDFINFO, str(pdf)], capture_output=True, text=True, check=True).stdout
    size = re.search(r"Page size:\s+([\d.]+) x ([\d.]+)", facts)
    assert size is not None
    short = {"a4": 210 / 25.4 * 72, "letter": 612}[paper]
    assert min(float(size[1]), float(size[2])) == pytest.approx(short, abs=1)
    text = subprocess.run(
        [PDFTOTEXT, "-layout", str(pdf), "-"], capture_output=True, text=True, check=True
    ).stdout
    sheets = text.split("\f")[:-1]
    assert 2 <= len(sheets) <= 44  # fifteen reasons, each with its whole trail
    footer = {"dossier": "Change dossier pb98 r2", "sheet": "Layup sheet · hull · hull 016 · r8, commit"}[
        args[0]
    ]
    assert all(footer in one for one in sheets)
    assert all("HOLD" in one for one in sheets if args[0] == "sheet")
    for line in foot_lines(pdf, footer.split()[0]):
        assert line.startswith(footer), "something is printed under the footer"


@pytest.mark.browser
@pytest.mark.skipif(CHROMIUM is None or PDFTOTEXT is None, reason="needs Chromium and pdftotext")
def test_no_sheet_of_paper_holds_a_zone_without_a_step(yard: GitRepo, tmp_path: Path) -> None:
    """Steps too many for one sheet go on over the next, which names the zone again."""
    sheets = printed(yard, tmp_path, "deck")
    zones = [one for one in sheets if "Zero direction" in one]
    assert len(zones) == 6  # the joint has no directions
    assert all("Steps of deck/" in one for one in zones)
    assert "NO LONGER: csm-450 hand-layup (was line 8)" in " ".join(" ".join(sheets).split())
    girders = [one for one in printed(yard, tmp_path, "grid") if "Steps of grid/engine-girders, mould" in one]
    assert len(girders) == 2


def printed(yard: GitRepo, folder: Path, part: str) -> list[str]:
    """The text on each sheet of paper of a part's layup sheet."""
    page(yard, folder, "sheet", part, "--hull", "015")
    pdf = folder / "page.pdf"
    chromium(folder, "--no-pdf-header-footer", f"--print-to-pdf={pdf}", (folder / "page.html").as_uri())
    assert PDFTOTEXT is not None
    text = subprocess.run([PDFTOTEXT, "-layout", str(pdf), "-"], capture_output=True, text=True, check=True)
    return text.stdout.split("\f")


def foot_lines(pdf: Path, first: str) -> Iterator[str]:
    """Per sheet, every word that reaches down to the footer or below, the footer's first word given."""
    assert PDFTOTEXT is not None
    boxes = subprocess.run(
        [PDFTOTEXT, "-bbox", str(pdf), "-"], capture_output=True, text=True, check=True
    ).stdout
    for sheet in boxes.split("<page ")[1:]:
        words = re.findall(r'yMin="([\d.]+)" xMax="[\d.]+" yMax="([\d.]+)">([^<]+)<', sheet)
        top = max(float(low) for low, _, word in words if word == first)
        yield " ".join(word for _, high, word in words if float(high) > top + 1 and word not in ("HOLD", ""))
