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
CONFLICT_HINT = "two versions met here in a merge: keep one side, or both, and delete the marker lines"


@dataclass(frozen=True, slots=True)
class Slip:
    """Something in a text that cannot stand as it is, by offset."""

    start: int
    length: int
    message: str
    hint: str = ""


@dataclass(frozen=True, slots=True)
class Decoded:
    """A text as shown to people, offset for offset as it can be read on, and what was wrong with it."""

    shown: str
    readable: str
    slips: tuple[Slip, ...] = ()
    legible: bool = True


def decode(data: bytes) -> Decoded:
    """The text of a file; lines end in `\\n` alone, and what cannot be read is replaced one for one."""
    if data.startswith(WIDE_MARKS) or data.count(0) * 4 > len(data):
        return Decoded("", "", (Slip(0, 1, "this is not UTF-8 text", "save the file as UTF-8"),), False)
    text = data.decode("utf-8", "surrogateescape").replace("\r\n", "\n")
    decoded = _without_mark(Decoded(text, text))
    if STRANGE.search(text) is None and not any(marker in text for marker in MARKERS):
        return decoded
    return _without_conflicts(_without_controls(_without_undecoded(decoded)))


def _without_mark(decoded: Decoded) -> Decoded:
    if not decoded.shown.startswith(BYTE_ORDER_MARK):
        return decoded
    slip = Slip(0, 1, "the file starts with a byte order mark", "save it as UTF-8 without BOM")
    return Decoded(decoded.shown[1:], decoded.readable[1:], (*decoded.slips, slip))


def _without_undecoded(decoded: Decoded) -> Decoded:
    slips = [
        Slip(
            found.start(), found.end() - found.start(), _undecoded_message(found[0]), "save the file as UTF-8"
        )
        for found in UNDECODED.finditer(decoded.shown)
    ]
    text = UNDECODED.sub(lambda found: "\ufffd" * len(found[0]), decoded.shown)
    return Decoded(text, text, (*decoded.slips, *slips))


def _undecoded_message(run: str) -> str:
    shown = " ".join(f"0x{ord(char) - 0xDC00:02X}" for char in run[:4])
    return f"{'the byte' if len(run) == 1 else 'the bytes'} {shown} cannot be read as UTF-8"


def _without_controls(decoded: Decoded) -> Decoded:
    slips = [
        Slip(found.start(), len(found[0]), f"control character U+{ord(found[0][0]):04X}", "delete it")
        for found in CONTROL.finditer(decoded.shown)
    ]
    shown = CONTROL.sub(lambda found: "\ufffd" * len(found[0]), decoded.shown)
    readable = CONTROL.sub(lambda found: " " * len(found[0]), decoded.readable)
    return Decoded(shown, readable, (*decoded.slips, *slips))


def _without_conflicts(decoded: Decoded) -> Decoded:
    """Markers are named one by one; the first side of each conflict is read on, the other left out."""
    slips, readable, side = [], [], "both"
    offset = 0
    for line in decoded.readable.split("\n"):
        marker = MARKER.match(line)
        if marker is not None and (side != "both" or marker[1][0] == "<"):
            slips.append(Slip(offset, len(line), f"conflict marker {marker[1]}", CONFLICT_HINT))
            side = {"<": "first", "|": "base", "=": "second", ">": "both"}[marker[1][0]]
            readable.append(" " * len(line))
        else:
            readable.append(" " * len(line) if side in ("base", "second") else line)
        offset += len(line) + 1
    return Decoded(decoded.shown, "\n".join(readable), (*decoded.slips, *slips))
