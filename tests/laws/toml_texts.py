"""Strategies for TOML 1.0 texts in every manner of writing, and for texts with mistakes in them."""

from hypothesis import strategies as st

NAMES = st.sampled_from(["a", "b", "c", "span_mm", "x-1", "7", '"d e"', "'q.r'", '"\\u00e9"', '""'])
SCALARS = st.sampled_from(
    [
        "0", "-17", "+3", "1_000", "0xFF", "0o17", "0b11", "1.5", "-0.0", "6.626e-34", "1e5", "inf", "-inf",
        "true", "false", "1979-05-27", "07:32:00", "1979-05-27T07:32:00Z", "1979-05-27 07:32:00.5-07:00",
        '""', "''", '"a \\"b\\" # [x] {y} = , \\u00e9\\n"', "'C:\\temp # \"'", '"é ü 😀"',
        '"""\n[a]\nb = 1 \\\n   "" # no\n"""', "'''it''s\n'''", '"""x"""""', "''''a'''", '"""\\""""',
    ]
)  # fmt: skip
BLANKS = st.sampled_from(["", " ", "\t", "  "])
GAPS = st.sampled_from(["", " ", "\n", " # [c] = \"'\n  ", "\n\n\t"])
ENDS = st.sampled_from(["\n", " # comment = [\n", "\n\n", "\t\n# whole line ] }\n"])


@st.composite
def _keys(draw: st.DrawFn) -> str:
    parts = draw(st.lists(NAMES, min_size=1, max_size=3))
    return (draw(BLANKS) + "." + draw(BLANKS)).join(parts)


@st.composite
def _lists(draw: st.DrawFn, values: st.SearchStrategy[str]) -> str:
    items = draw(st.lists(values, max_size=4))
    text = ",".join(draw(GAPS) + item + draw(GAPS) for item in items)
    return f"[{text}{',' if items and draw(st.booleans()) else ''}{draw(GAPS)}]"


@st.composite
def _braces(draw: st.DrawFn, values: st.SearchStrategy[str]) -> str:
    entries = draw(st.lists(st.tuples(_keys(), values), max_size=3))
    written = [
        f"{draw(BLANKS)}{key}{draw(BLANKS)}={draw(BLANKS)}{value}{draw(BLANKS)}" for key, value in entries
    ]
    return "{" + ",".join(written) + draw(BLANKS) + "}"


VALUES = st.recursive(SCALARS, lambda inner: _lists(inner) | _braces(inner), max_leaves=8)


@st.composite
def _statements(draw: st.DrawFn) -> str:
    return f"{draw(BLANKS)}{draw(_keys())}{draw(BLANKS)}={draw(BLANKS)}{draw(VALUES)}{draw(ENDS)}"


@st.composite
def _headers(draw: st.DrawFn) -> str:
    opening, closing = draw(st.sampled_from([("[", "]"), ("[[", "]]")]))
    return f"{draw(BLANKS)}{opening}{draw(BLANKS)}{draw(_keys())}{draw(BLANKS)}{closing}{draw(ENDS)}"


TEXTS = st.lists(_statements() | _statements() | _headers(), max_size=8).map("".join)
JUNK = st.text(alphabet="[]{}=,.#\"'\n -_019abx\\:“”\té", min_size=1, max_size=4)


@st.composite
def damaged(draw: st.DrawFn) -> str:
    """A text with pieces cut out, put in and moved."""
    text = draw(TEXTS)
    for _ in range(draw(st.integers(1, 4))):
        at = draw(st.integers(0, len(text)))
        size = draw(st.integers(0, 6))
        text = text[:at] + draw(st.just("") | JUNK | st.just(text[:size])) + text[at + size :]
    return text
