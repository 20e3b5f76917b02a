"""Text typed by people as plain text: nothing in it can steer a terminal or reorder a line."""

import re

# C0 and C1 controls, delete, and the marks that change the direction of text (Unicode UAX #9), zero width
# characters and line separators: shown as a visible symbol instead of being obeyed.
_ACTING = re.compile("[\x00-\x1f\x7f-\x9f\u061c\u200b-\u200f\u2028-\u202e\u2060-\u2069\ufeff\ufff9-\ufffb]")
_LONE = re.compile("[\ud800-\udfff]")


def visible(text: str) -> str:
    """The text with every acting character replaced by a symbol; what is harmless stays as it is."""
    return _LONE.sub("\ufffd", _ACTING.sub(_symbol, text))


def visible_lines(text: str) -> str:
    """Like `visible`, but line ends stay line ends."""
    return "\n".join(visible(line) for line in text.replace("\r\n", "\n").split("\n"))


def _symbol(match: re.Match[str]) -> str:
    code = ord(match.group())
    if code < 0x20:
        return chr(0x2400 + code)
    return "\u2421" if code == 0x7F else "\ufffd"


def shortened(text: str, width: int) -> str:
    """The text on one line of at most `width` characters, cut with an ellipsis."""
    line = " ".join(visible_lines(text).split())
    return line if len(line) <= width else line[: max(width - 1, 0)] + "…"
