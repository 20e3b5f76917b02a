"""What is unlikely is refused with what was expected, unless it is meant and says why; a person is asked."""

from pathlib import Path
from typing import Any

import click
import pytest

from recipe_track.cli.writing import do_meant
from recipe_track.errors import Doubtful
from recipe_track.procedures.doubts import require_meant
from recipe_track.procedures.writing import Done
from tests.journeys.hull_story import move, planned_yard
from tests.journeys.yard import Said, Yard

PNG = b"\x89PNG\r\n\x1a\n" + bytes(40)


@pytest.fixture
def yard(tmp_path: Path) -> Yard:
    return planned_yard(tmp_path)


def weigh(yard: Yard, mass: float, *more: str, part: str = "deck") -> Said:
    state = "assembled" if part == "craft" else "trimmed"
    return yard("hull", "weigh", "001", "--part", part, "--mass-kg", str(mass), "--state", state, *more)


def computed(yard: Yard) -> float:
    mass = yard("hull", "show", "001", "--json").json["parts"][0]["mass_kg"]
    assert isinstance(mass, float)
    return mass


def refused(said: Said, *words: str) -> None:
    assert said.status == 1, said.err
    assert said.out == ""
    told = " ".join(said.err.split())
    for word in (*words, "expected", "--meant --note"):
        assert word in told, told


def test_a_weighing_far_from_the_computed_mass_is_refused(yard: Yard) -> None:
    mass, head = computed(yard), yard.repo.head("main")
    for far in (0.75 * mass, 1.25 * mass, 10 * mass):
        refused(weigh(yard, far), f"{mass:.1f} kg computed for deck of hull 001")
    assert yard.repo.head("main") == head
    assert weigh(yard, 1.15 * mass).status == 0
    assert weigh(yard, 1.5 * mass, "--tare-kg", f"{0.5 * mass}").status == 0
    assert weigh(yard, 10 * mass, "--meant").status == 2
    assert weigh(yard, 10 * mass, "--meant", "--note", "with the mould").status == 0


def test_a_coarse_scale_leaves_room(yard: Yard) -> None:
    """Three standard uncertainties of 10 % of the mass are more than 20 % of it."""
    mass = computed(yard)
    assert weigh(yard, 1.25 * mass, "--uncertainty-kg", f"{0.1 * mass}").status == 0
    refused(weigh(yard, 1.35 * mass, "--uncertainty-kg", f"{0.1 * mass}"), "kg was expected")


def test_a_correction_of_a_weighing_is_looked_at_alike(yard: Yard) -> None:
    mass = computed(yard)
    first = weigh(yard, mass).id
    swapped = f"mass_kg={10 * mass:.1f}"
    refused(yard("record", "correct", first, "--set", swapped, "--note", "misread"), "off the")
    assert yard("record", "correct", first, "--set", swapped, "--note", "misread", "--meant").status == 0


def craft_mass(yard: Yard) -> float:
    light = next(
        c for c in yard("figures", "--at", "r1", "--json").json["craft"]["conditions"] if c["name"] == "light"
    )
    assert isinstance(light["mass_kg"], float)
    return light["mass_kg"]


@pytest.mark.parametrize(
    ("includes", "passes"),
    [
        (None, False),
        ("two slings", False),
        ("fuel aboard", False),
        ("light, 40 l of fuel aboard", False),
        ("not drained", False),
        ("light, tanks drained", True),
        ("no fuel aboard", True),
        ("Tanks empty", True),
    ],
)
def test_a_craft_says_that_it_is_as_light_as_it_is_held_against(
    yard: Yard, includes: str | None, passes: bool
) -> None:
    said = weigh(yard, craft_mass(yard), *(("--includes", includes) if includes else ()), part="craft")
    if passes:
        assert said.status == 0, said.err
    else:
        refused(said, "light condition, without fuel")


def test_a_craft_with_fuel_is_recorded_if_it_is_meant(yard: Yard) -> None:
    mass = craft_mass(yard)
    note = "weighed for the launch"
    said = weigh(yard, mass, "--includes", "fuel aboard", "--meant", "--note", note, part="craft")
    assert said.status == 0, said.err


def test_a_hull_is_not_delivered_before_its_parts_were_laid(yard: Yard) -> None:
    delivered = ("hull", "state", "001", "--state", "delivered")
    refused(yard(*delivered), "is to be delivered", "parts were expected built")
    assert yard(*delivered, "--meant", "--note", "built by another yard").status == 0


def test_a_state_put_back_is_refused(yard: Yard) -> None:
    move(yard, "in-mould", "2026-01-07")
    back = ("hull", "part", "001", "--part", "deck", "--state", "kit-cut")
    for more in ((), ("--note", "cut anew")):
        refused(yard(*back, *more), "kit-cut lies before that", "a later state was expected")
    assert yard(*back, "--meant").status == 2
    assert yard(*back, "--meant", "--note", "cut anew").status == 0
    yard("hull", "state", "001", "--state", "delivered", "--meant", "--note", "n")
    refused(
        yard("hull", "state", "001", "--state", "in-build", "--note", "back"), "in-build lies before that"
    )
    assert yard("hull", "state", "001", "--state", "in-build", "--note", "back", "--meant").status == 0
    assert "step-back" not in yard.findings()


LOG = (
    "trial", "log", "--hull", "001", "--zone", "deck/side", "--observation", "noise", "--severity", "2",
    "--text", "hums",
)  # fmt: skip


@pytest.mark.parametrize(
    ("name", "content", "expected"),
    [
        ("deck.exe", b"MZ", "no picture or document by its name"),
        ("deck", PNG, "no picture or document by its name"),
        ("deck.html", b"<script>", "no picture or document by its name"),
        ("deck.png", b"\xff\xd8\xff\xe0", "does not begin as a png file"),
        ("deck.webp", b"RIFF....AVI LIST", "does not begin as a webp file"),
        ("deck.heic", b"\x00\x00\x00\x18mdat", "does not begin as a heic file"),
        ("deck.txt", b"\x7fELF\x00", "does not begin as a txt file"),
        ("deck.png", PNG + bytes(5_000_000), "5.0 MB: at most 5 MB"),
    ],
)
def test_an_attachment_that_is_none_is_refused(
    yard: Yard, tmp_path: Path, name: str, content: bytes, expected: str
) -> None:
    file = tmp_path / name
    file.write_bytes(content)
    refused(yard(*LOG, "--attach", str(file)), expected)
    assert yard(*LOG, "--attach", str(file), "--meant", "--note", "all there is").status == 0


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("deck.PNG", PNG),
        ("deck.jpeg", b"\xff\xd8\xff\xe0"),
        ("deck.webp", b"RIFF\x00\x00\x00\x00WEBPVP8 "),
        ("deck.heic", b"\x00\x00\x00\x18ftypheic"),
        ("report.pdf", b"%PDF-1.7"),
        ("report.docx", b"PK\x03\x04"),
        ("readings.csv", b"load;mm\n1,6;9\n"),
    ],
)
def test_pictures_and_documents_are_attached_as_they_are(
    yard: Yard, tmp_path: Path, name: str, content: bytes
) -> None:
    """First bytes by the formats' own specifications, from memory."""
    file = tmp_path / name
    file.write_bytes(content)
    assert yard(*LOG, "--attach", str(file)).status == 0


def test_all_that_is_unlikely_is_told_at_once(yard: Yard, tmp_path: Path) -> None:
    for name in ("a.exe", "b.exe"):
        (tmp_path / name).write_bytes(b"MZ")
    attached = [word for name in ("a.exe", "b.exe") for word in ("--attach", str(tmp_path / name))]
    refused(yard(*LOG, *attached), "a.exe is no picture", "b.exe is no picture")


def act(given: dict[str, Any]) -> Done:
    require_meant(["9 t is far off"], given["meant"], given["note"])
    return Done(given["note"], None)


def test_a_person_is_asked_on_a_terminal(monkeypatch: pytest.MonkeyPatch, capsys: Any) -> None:
    monkeypatch.setattr(click, "confirm", lambda *_, **__: True)
    monkeypatch.setattr(click, "prompt", lambda *_, **__: "it is a big one")
    assert do_meant({"meant": False, "note": None}, act, asks=True).id == "it is a big one"
    assert "9 t is far off" in capsys.readouterr().err
    assert do_meant({"meant": False, "note": "said before"}, act, asks=True).id == "said before"
    with pytest.raises(Doubtful):
        do_meant({"meant": False, "note": "said before"}, act, asks=False)
    monkeypatch.setattr(click, "confirm", lambda *_, **__: False)
    with pytest.raises(Doubtful):
        do_meant({"meant": False, "note": None}, act, asks=True)
