"""Text typed by people in a Markdown comment: it formats nothing, links nothing, ends no cell."""

import re

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from markdown_it import MarkdownIt

from recipe_track.present.pages.markdown import markdown_table, one_line
from recipe_track.present.words.plain import shortened

HOSTILE = [
    "<script>alert(1)</script>", "<img src=x onerror=alert(1)>", "a | b | c", "`code` ```", "[x](http://e.org)",
    "![x](http://e.org/x.png)", "**bold** _it_ ~~no~~", "# head", "- item", "1. item", "&lt;b&gt;", "\\", "\\|",
    "<http://e.org>", "a\nb\n\n# c", "---", "===", "> quote", "$x$", "[ref]: http://e.org", "<!-- c -->",
]  # fmt: skip
RENDERER = MarkdownIt("commonmark", {"html": True}).enable(["table", "strikethrough"])


def plain_of(markdown: str) -> tuple[str, set[str]]:
    """The text of a paragraph as rendered and the kinds of inline tokens in it."""
    inline_tokens = [t for t in RENDERER.parse(markdown) if t.type == "inline"]
    children = [child for token in inline_tokens for child in token.children or []]
    return "".join(child.content for child in children), {child.type for child in children}


@given(st.one_of(st.sampled_from(HOSTILE), st.text(alphabet="<>&|`*_[]()!\\#-+=~$:/.@aw1 \n", max_size=40)))
@example("www.example.org")
def test_text_is_rendered_as_the_words_it_is(text: str) -> None:
    shown, kinds = plain_of(f"said: {one_line(text)}")
    assert kinds <= {"text", "text_special"}
    words = f"said: {shortened(text, 400)}".strip()
    assert shown.replace("\u2060", "") == words


@pytest.mark.parametrize("text", HOSTILE)
def test_a_cell_stays_one_cell(text: str) -> None:
    tokens = RENDERER.parse("\n".join(markdown_table(("a", "b"), [(text, "next")])))
    assert [t.type for t in tokens].count("td_open") == 2
    assert [t.content for t in tokens if t.type == "inline"][-1] == "next"
    assert not {t.type for t in tokens} & {"html_block", "heading_open", "fence"}
    inside = [c.type for t in tokens for c in t.children or []]
    assert not {"link_open", "image", "html_inline", "code_inline", "em_open", "strong_open"} & set(inside)


@pytest.mark.parametrize("text", HOSTILE)
def test_a_list_item_stays_one_item(text: str) -> None:
    tokens = [t.type for t in RENDERER.parse(f"- {one_line(text)}")]
    assert tokens.count("list_item_open") == 1
    assert not {"heading_open", "html_block", "fence", "hr", "blockquote_open"} & set(tokens)


@pytest.mark.parametrize("address", ["https://e.org", "www.e.org", "mailto:a@b.org", "a@b.org", "@team"])
def test_nothing_is_left_for_bare_links_and_mentions(address: str) -> None:
    """The bare forms of the GFM specification, section 6.9 (autolinks, from memory), and mentions."""
    assert not re.search(r"https?://|(?<!\w)www\.|mailto:|@\w", one_line(address), re.IGNORECASE)
