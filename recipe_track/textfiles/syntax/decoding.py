"""From bytes to text that can be read: encoding, byte order mark, control characters, conflict markers."""

import codecs
import re
from dataclasses import dataclass

BYTE_ORDER_MARK = "\ufeff"
UNDECODED = re.compile("[\udc80-\udcff]+")  # what `surrogateescape` makes of bytes that are not UTF-8
CONTROL = re.compile("[\x00-\x08\x0b-\x1f\x7f]+")
STRANGE = re.compile("[\x00-\x08\x0b-\x1f\x7f\udc80-\udcff]")
MARKERS = ("<<<<<<<", "|||||||", "=======", ">>>>>>>")
MARKER = re.compile(r"^(<{7}|\|{7}|={7}|>{7})(?: [^\n]*)?$", re.MULTILINE)
WIDE_MARKS = (codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)
_NOT_UTF_8 = ("this is not UTF-8 text", "save the file as UTF-8")
_MARKED = ("the file starts with a byte order mark", "save it as UTF-8 without BOM")
# Told of one text. With each, a stretch of the text may be read again, so that their number bounds the work.
MOST_MISTAKES = 200
TOO_MANY = (
    "too-many-mistakes",
    f"{MOST_MISTAKES} mistakes up to here: the rest is not told",
    "mend these first",
)
CONFLICT_HINT = "two versions met here in a merge: keep one side, or both, and delete the marker lines"


@dataclass(frozen=True, slots=True)
class Mistake:
    """Something in a text that cannot stand as it is, by offset."""

    start: int
    length: int
    code: str
    message: str
    hint: str = ""


@dataclass(frozen=True, slots=True)
class Decoded:
    """A text as shown to people, offset for offset as it can be read on, and what was wrong with it."""

    shown: str
    readable: str
    mistakes: tuple[Mistake, ...] = ()
    legible: bool = True


def decode(data: bytes) -> Decoded:
    """The text of a file; lines end in `\\n` alone, and what cannot be read is replaced one for one."""
    if data.startswith(WIDE_MARKS) or data.count(0) * 4 > len(data):
        return Decoded("", "", (Mistake(0, 1, "not-utf-8", *_NOT_UTF_8),), False)
    text = data.decode("utf-8", "surrogateescape").replace("\r\n", "\n")
    decoded = _without_mark(Decoded(text, text))
    if STRANGE.search(text) is None and not any(marker in text for marker in MARKERS):
        return decoded
    return _without_conflicts(_without_controls(_without_undecoded(decoded)))


def _without_mark(decoded: Decoded) -> Decoded:
    if not decoded.shown.startswith(BYTE_ORDER_MARK):
        return decoded
    mistake = Mistake(0, 1, "byte-order-mark", *_MARKED)
    return Decoded(decoded.shown[1:], decoded.readable[1:], (*decoded.mistakes, mistake))


def _without_undecoded(decoded: Decoded) -> Decoded:
    mistakes = [
        Mistake(run.start(), len(run[0]), "not-utf-8", _undecoded_message(run[0]), "save the file as UTF-8")
        for run in UNDECODED.finditer(decoded.shown)
    ]
    text = UNDECODED.sub(lambda run: "\ufffd" * len(run[0]), decoded.shown)
    return Decoded(text, text, (*decoded.mistakes, *mistakes))


def _undecoded_message(run: str) -> str:
    shown = " ".join(f"0x{ord(char) - 0xDC00:02X}" for char in run[:4])
    return f"{'the byte' if len(run) == 1 else 'the bytes'} {shown} cannot be read as UTF-8"


def _control_message(run: str) -> str:
    return f"control character U+{ord(run[0]):04X}"


def _without_controls(decoded: Decoded) -> Decoded:
    mistakes = [
        Mistake(run.start(), len(run[0]), "control-character", _control_message(run[0]), "delete it")
        for run in CONTROL.finditer(decoded.shown)
    ]
    shown = CONTROL.sub(lambda run: "\ufffd" * len(run[0]), decoded.shown)
    readable = CONTROL.sub(lambda run: " " * len(run[0]), decoded.readable)
    return Decoded(shown, readable, (*decoded.mistakes, *mistakes))


def _without_conflicts(decoded: Decoded) -> Decoded:
    """Markers are named one by one; the first side of each conflict is read on, the other left out."""
    mistakes, readable, side = [], [], "both"
    offset = 0
    for line in decoded.readable.split("\n"):
        marker = MARKER.match(line)
        if marker is not None and (side != "both" or marker[1][0] == "<"):
            message = f"conflict marker {marker[1]}"
            mistakes.append(Mistake(offset, len(line), "conflict-marker", message, CONFLICT_HINT))
            side = {"<": "first", "|": "base", "=": "second", ">": "both"}[marker[1][0]]
            readable.append(" " * len(line))
        else:
            readable.append(" " * len(line) if side in ("base", "second") else line)
        offset += len(line) + 1
    return Decoded(decoded.shown, "\n".join(readable), (*decoded.mistakes, *mistakes))
