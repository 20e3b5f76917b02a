"""Text typed by people is data on every screen: no markup, no terminal control, no crash."""

import re
import shutil
from pathlib import Path

import pytest

import recipe_track.tui
from tests.journeys.gitrepo import GitRepo
from tests.recipes import WORKED
from tests.screens.driving import LARGE, SMALL, opened
from tests.screens.screen_text import lines_of, text_of

HOSTILE = "[/] [b]x[/b [@click=app.quit]y[/] \\u001b[31mred \\u202egnp.exe [red]"
"""As it stands in a TOML string: unmatched markup, an action, an escape sequence, a direction override."""
LONG = "long " * 1000
"""More than the largest of the windows holds."""
ACTING = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u200b-\u200f\u202a-\u202e\u2066-\u2069]")
TRIAL, CHANGE, WAITING = "T-7K3QX2", "C-2M9XQ4", "C-2M9XQ5"
BY = 'by = "[/] A [b] <ada@quay.example>"\non = 2026-01-02\n'


@pytest.fixture
def hostile(tmp_path: Path) -> Path:
    """The worked recipe with hostile text in every field for it, two revisions, records, a proposal."""
    repo = GitRepo.create(tmp_path)
    shutil.copytree(WORKED, repo.root, dirs_exist_ok=True)
    prices = repo.root / "prices.toml"
    prices.write_text(prices.read_text().replace('"EUR"', '"[/] €"'))
    side = repo.root / "models/demo/deck/side.toml"
    text = side.read_text().replace('"Side deck"', f'"{HOSTILE}"')
    side.write_text(text.replace("plies = 2", f'plies = 2, note = "{HOSTILE}", extent = "{LONG}"'))
    first = repo.commit("First [/] issue\n\nReason: [/b] first issue")
    repo.tag("demo/r1", first)
    repo.write(
        "hulls/014.toml",
        'model = "demo"\nstatus = "in-build"\n[[part]]\npart = "deck"\nrevision = "r1"\n'
        f'commit = "{first}"\nstate = "fitted"\non = 2026-01-02\nnote = "{HOSTILE}"\n',
    )
    repo.write(
        f"records/2026/{TRIAL}.toml",
        f'kind = "trial"\n{BY}hull = "014"\nzone = "deck/side"\ntext = "{HOSTILE}"\nseverity = 4\n'
        f'observation = "other"\nconditions = "{HOSTILE}"\nnote = "{LONG}"\n',
    )
    repo.write(
        "records/2026/N-7K3QX2.toml",
        f'kind = "deviation"\n{BY}type = "nonconformity"\nhull = "014"\nzone = "deck/side"\ntext = "{HOSTILE}"\n',
    )
    repo.write(f"records/2026/{CHANGE}.toml", _change(HOSTILE))
    side.write_text(side.read_text().replace("thickness_mm = 20", "thickness_mm = 25"))
    repo.commit(f"Thicker\n\nChange: {CHANGE}\nReason: [/] {'x' * 3000}")
    repo.branch(f"change/{WAITING}")
    repo.write(f"records/2026/{WAITING}.toml", _change(f"{HOSTILE} {LONG}"))
    side.write_text(side.read_text().replace("thickness_mm = 25", "thickness_mm = 30"))
    repo.commit("Thicker still")
    repo.checkout("main")
    return repo.root


def _change(text: str) -> str:
    return (
        f'kind = "change"\n{BY}model = "demo"\ntitle = "{text}"\nreason = "{text}"\n'
        f'category = "layup"\ntrials = ["{TRIAL}"]\nconsidered = "{text}"\n'
    )


@pytest.mark.parametrize(
    ("size", "visits"),
    [
        (SMALL, ("y", "t", "l", "w", "z", "b", "2", "3", "3d", "4", "5", "5r")),
        (LARGE, ("", "2", "3", "4", "5")),
    ],
    ids=["small", "large"],
)
async def test_hostile_text_is_shown_as_it_is(
    hostile: Path, size: tuple[int, int], visits: tuple[str, ...]
) -> None:
    shown = []
    async with opened(hostile, size, "r1", "main") as drive:
        for keys in visits:
            await drive.press("1", *keys)
            shown.append(text_of(drive.app))
            assert max(map(len, lines_of(drive.app))) <= size[0]
            await drive.close_dialogs()
        await drive.press("1", "ctrl+p")
        shown.append(text_of(drive.app))
    everything = "\n".join(shown)
    assert "[/] [b]x[/b [@click=app.quit]y[/]" in everything
    assert not ACTING.search(everything)
    assert "\u202e" not in everything


async def test_hostile_toasts_are_plain(hostile: Path) -> None:
    async with opened(hostile, LARGE, "r1", "main") as drive:
        await drive.press("b")
        await drive.write("[/nowhere]")
        await drive.press("enter")
        assert "[/nowhere]" in text_of(drive.app)


async def test_hostile_file_problems_are_plain(hostile: Path) -> None:
    (hostile / "models/demo/deck/side.toml").write_bytes(b'"[/] \\u001b[31m" = 1\narea_m2 = "\xff[/b"\n')
    async with opened(hostile, SMALL, "r1") as drive:
        assert drive.app.screen.has_class("-failed")
        assert not ACTING.search(text_of(drive.app))


def test_no_source_line_opens_a_door_for_markup() -> None:
    folder = Path(recipe_track.tui.__file__).parent
    for file in folder.rglob("*.py"):
        text = file.read_text(encoding="utf-8")
        assert "markup=True" not in text, file
        assert "from_markup" not in text, file
        for call in re.findall(r"\.notify\((?:[^()]|\([^()]*\))*\)", text):
            assert "markup=False" in call, (file, call)
        for call in re.findall(r"(?:Static|Label)\((?:[^()]|\([^()]*\))*\)", text):
            assert "markup=False" in call or re.search(r"\((literal|line|text_page)\(", call), (file, call)


async def test_a_name_without_end_leaves_room_for_the_stacks(hostile: Path) -> None:
    side = hostile / "models/demo/deck/side.toml"
    side.write_text(side.read_text().replace(f'name = "{HOSTILE}"', f'name = "{LONG}"'))
    async with opened(hostile, SMALL, "r1", "working") as drive:
        assert "long long" in text_of(drive.app)
        assert "mould side" in text_of(drive.app)
        assert "bag side" in text_of(drive.app)
