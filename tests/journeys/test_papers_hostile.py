"""Text typed by people stays text on every paper: no element, no attribute, no link, no formula, no control."""

import csv
import io
import re
from pathlib import Path

import pytest
from markdown_it import MarkdownIt

from recipe_track.present.words.plain import visible_lines
from tests.journeys.gitrepo import GitRepo
from tests.journeys.papers import TEXTS, Page, call, yard

PLAIN = "plain words"
PAGES = {
    "dossier": ("dossier", "r1", "r2"),
    "sheet of a hull": ("sheet", "deck", "--hull", "002"),
    "sheet of the files": ("sheet", "deck/side"),
}
TABLES = [
    ("bill", "deck", "--csv", "--against", "r1"),
    ("compare", "r1", "r2", "--csv"),
    ("history", "--csv"),
    ("figures", "--csv"),
    ("trial", "list", "--csv"),
    ("change", "list", "--csv"),
    ("hull", "list", "--csv"),
    ("deviation", "list", "--csv"),
]
TEXT_FORMS = [
    ("compare", "r1", "r2"),
    ("sheet", "deck", "--hull", "002"),
    ("bill", "deck", "--against", "r1"),
    ("figures", "deck/side", "--layers"),
    ("figures", "deck/side", "--working"),
]


@pytest.fixture(scope="module")
def plain(tmp_path_factory: pytest.TempPathFactory) -> GitRepo:
    return yard(tmp_path_factory.mktemp("plain"), PLAIN)


@pytest.fixture(
    scope="module", params=range(len(TEXTS)), ids=lambda n: TEXTS[n][:24].encode("ascii", "ignore").decode()
)
def hostile(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> tuple[GitRepo, str]:
    text = TEXTS[request.param].format(x="said")
    return yard(tmp_path_factory.mktemp("hostile"), text), text


def html_of(repo: GitRepo, args: tuple[str, ...], folder: Path) -> str:
    target = folder / "page.html"
    assert call(repo, *args, "-o", str(target)) == 0
    return target.read_text(encoding="utf-8")


@pytest.mark.parametrize("paper", PAGES)
def test_a_page_has_the_same_elements_whatever_people_write(
    paper: str, plain: GitRepo, hostile: tuple[GitRepo, str], tmp_path: Path
) -> None:
    repo, text = hostile
    expected = Page(html_of(plain, PAGES[paper], tmp_path))
    html = html_of(repo, PAGES[paper], tmp_path)
    found = Page(html)
    assert found.shape == expected.shape
    assert not found.open
    assert visible_lines(text) in found.text
    assert not found.references
    assert not re.search("[\x00-\x09\x0b-\x1f\x7f-\x9f\u200b\u202a-\u202e\u2066-\u2069\ufeff]", html)


@pytest.mark.parametrize("args", TABLES, ids=" ".join)
def test_a_table_keeps_its_columns_and_evaluates_nothing(
    args: tuple[str, ...], hostile: tuple[GitRepo, str], capfdbinary: pytest.CaptureFixture[bytes]
) -> None:
    assert call(hostile[0], *args) == 0
    printed = capfdbinary.readouterr().out.decode("utf-8")
    assert printed.replace("\r\n", "").count("\n") == 0
    rows = list(csv.reader(io.StringIO(printed, newline="")))
    assert len(rows) > 1
    assert {len(row) for row in rows} == {len(rows[0])}
    for cell in (cell for row in rows for cell in row):
        assert not cell.startswith(("=", "+", "@", "\t"))
        assert not re.fullmatch("-.*[^0-9.e+-].*", cell)


def test_a_review_comment_has_no_link_and_no_element(
    hostile: tuple[GitRepo, str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert call(hostile[0], "compare", "r1", "r2", "--format", "markdown") == 0
    comment = capsys.readouterr().out
    tokens = MarkdownIt("commonmark", {"html": True}).enable(["table", "strikethrough"]).parse(comment)
    kinds = {t.type for t in tokens} | {c.type for t in tokens for c in t.children or []}
    assert not kinds & {"html_block", "html_inline", "link_open", "image", "code_inline", "fence", "em_open"}
    assert "table_open" in kinds


@pytest.mark.parametrize("args", TEXT_FORMS, ids=lambda args: args[0])
def test_the_terminal_is_not_steered(
    args: tuple[str, ...], hostile: tuple[GitRepo, str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert call(hostile[0], *args) == 0
    printed = capsys.readouterr().out
    assert not re.search("[\x00-\x09\x0b-\x1f\x7f-\x9f\u200b\u202a-\u202e\u2066-\u2069\ufeff]", printed)


def test_no_template_trusts_a_text() -> None:
    templates = Path(__file__).parents[2] / "recipe_track" / "present" / "pages" / "templates"
    for template in sorted(templates.iterdir()):
        content = template.read_text(encoding="utf-8")
        assert "|safe" not in content.replace(" ", ""), template.name
        assert "autoescape" not in content, template.name
        assert not re.search(r"=\{\{|=\{%", content), f"{template.name} has an attribute without quotes"
