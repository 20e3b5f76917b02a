"""The trail on paper: what is on record of a change, and the whole life of a hull."""

from dataclasses import dataclass
from pathlib import Path

import pytest

from tests.journeys.hull_story import log, move, planned_yard
from tests.journeys.papers import Page
from tests.journeys.yard import Yard, thicken

HOSTILE = '<script>alert("1")</script>'


@dataclass
class Told:
    """The yard with one change and hull 001, which went through all that a page can say."""

    yard: Yard
    change: str
    later: str
    ids: dict[str, str]


@pytest.fixture(scope="module")
def told(tmp_path_factory: pytest.TempPathFactory) -> Told:
    """Only for looking."""
    yard = planned_yard(tmp_path_factory.mktemp("yard"))
    move(yard, "in-mould", "2026-01-07", "--note", HOSTILE)
    ids = {"noise": log(yard, 2, "noise", "2026-01-08")}
    thicken(yard)
    change = yard(
        "change", "propose", "--title", "Stiffen the side deck", "--reason", "too soft underfoot",
        "--category", "layup", "--trial", ids["noise"], "--considered", "a stringer: no room for it",
    ).id  # fmt: skip
    approved = yard(
        "change", "approve", change, "--note", "as calculated", "--hull-action", "001:deck=retrofit",
        "--reverified", "SC-014 rev C", "--body", "Coast Registry", who="ben",
    )  # fmt: skip
    assert approved.status == 0, approved.err
    assert yard("release", "demo", "--from-hull", "002").id == "r2"
    ids["hold"] = log(yard, 4, "delamination", "2026-01-09")
    move(yard, "demoulded", "2026-01-10", "--done", change)
    verified = yard("change", "verify", change, "--hull", "001", "--outcome", "confirmed", "--note", "no hum")
    assert verified.status == 0, verified.err
    thicken(yard, 30)
    later = yard.change()
    ids["departure"] = yard(
        "deviation", "report", "001", "--zone", "deck/side", "--type", "nonconformity", "--text", "a dry edge",
    ).id  # fmt: skip
    yard("deviation", "decide", ids["departure"], "--decision", "refused", "--note", "fill it", who="ben")
    ids["action"] = yard(
        "action", "record", ids["departure"], "--cause", "too little resin", "--done", "filled and sanded",
        who="ben",
    ).id  # fmt: skip
    ids["weighing"] = yard(
        "hull", "weigh", "001", "--part", "deck", "--state", "trimmed", "--mass-kg",
        str(yard("hull", "show", "001", "--json").json["parts"][0]["mass_kg"]),
    ).id  # fmt: skip
    return Told(yard, change, later, ids)


def page(told: Told, target: Path, *args: str) -> str:
    said = told.yard("dossier", *args, "-o", str(target))
    assert said.status == 0, said.err
    return target.read_text(encoding="utf-8")


def test_a_dossier_has_the_trail_of_its_change(told: Told, tmp_path: Path) -> None:
    text = Page(page(told, tmp_path / "change.html", "r1", "r2")).text
    why = text.split("\nWhy\n")[1].split("The craft, ")[0]
    for words in (
        "What else was weighed", "a stringer: no room for it",
        "Expected effect", "expected when proposed:", "deck/side: mass +",
        "computed again, the figures are as expected",
        "Decision", "approved by Ben", "as calculated",
        "re-verified: SC-014 rev C, Coast Registry, Ben", "hull 001, deck: retrofit",
        "Verification", "confirmed on hull 001 by Ada", "no hum",
        "First in", "r2", "On hulls", "001",
    ):  # fmt: skip
        assert words in why, words


def test_what_is_not_decided_says_so(told: Told, tmp_path: Path) -> None:
    thicken(told.yard, 32)
    waiting = told.yard(
        "change", "propose", "--title", "Thicker yet", "--reason", "still too soft", "--category", "layup"
    ).id
    text = Page(page(told, tmp_path / "change.html", "main", f"change/{waiting}")).text
    why = text.split("\nWhy\n")[1].split("The craft, ")[0]
    assert "not decided" in why
    assert "approved by" not in why
    told.yard.repo.git("checkout", "-q", "--", ".")


def test_the_life_of_a_hull_is_one_page(told: Told, tmp_path: Path) -> None:
    html = page(told, tmp_path / "hull.html", "--hull", "001")
    shown = Page(html)
    assert shown.references == []
    assert ("script", ()) not in shown.shape
    sections = {
        "Open observations": (told.ids["hold"], "nothing was decided or done about it yet"),
        "Changes not built in, and nothing decided for this hull": (told.later,),
        "Parts": (f"deck: r1 with {told.change}", "demoulded"),
        "Releases that it was built to": (told.yard.repo.git("rev-parse", "demo/r1^{commit}").strip(),),
        "Steps: who moved what when": ("in-mould", "7 Jan 2026", "Ada", HOSTILE, f"with {told.change}"),
        "Changes built in": (told.change, "carried out on the built part", "confirmed on hull 001", "no hum"),
        "Deviations": (
            told.ids["departure"],
            "a dry edge",
            "fill it",
            "too little resin",
            "filled and sanded",
        ),
        "Weighed against computed": (told.ids["weighing"], "computed as r1", "weighed by Ada"),
        "Observations that are answered": (told.ids["noise"], f"answered by {told.change} Stiffen"),
        "Cautions": ("nobody looked at the hull", "Figures are estimates", "identity not proven"),
    }
    at = -1
    for title, words in sections.items():
        place = shown.text.find(f"\n{title}\n")
        assert place > at, title
        at = place
        rest = shown.text[place + len(title) + 2 :]
        ends = [
            end
            for other in (*sections, "Changes not built in, decided")
            if (end := rest.find(f"\n{other}\n")) >= 0
        ]
        for word in words:
            assert word in rest[: min(ends, default=len(rest))], (title, word)
    assert f"HOLD deck/side: severity 4 observation on hull 001, open ({told.ids['hold']})" in shown.text


def test_an_id_and_a_day_of_a_step_are_copied_whole(told: Told, tmp_path: Path) -> None:
    html = page(told, tmp_path / "hull.html", "--hull", "001")
    step = told.yard("hull", "show", "001", "--json").json["steps"][0]
    assert f'<td class="whole">{step["id"]}</td>' in html
    assert '<td class="whole">5 Jan 2026</td>' in html
    assert '<span class="word">&lt;ada@quay.example&gt;</span>' in html
    assert "table.steps .whole { white-space: nowrap;" in html


def test_the_page_of_a_hull_is_the_same_every_time(told: Told, tmp_path: Path) -> None:
    first, second = (page(told, tmp_path / name, "--hull", "001") for name in ("a.html", "b.html"))
    assert first == second


def test_a_dossier_is_of_a_change_or_of_a_hull(told: Told, tmp_path: Path) -> None:
    target = str(tmp_path / "x.html")
    for args in (("r1", "r2", "--hull", "001"), ("r1",), (), ("--hull", "009")):
        said = told.yard("dossier", *args, "-o", target)
        assert said.status == 2, args
        assert said.out == ""
    assert not Path(target).exists()
