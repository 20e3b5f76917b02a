"""What is unlikely enough to ask about: refused unless it is said to be meant, with a note why."""

import re
from collections.abc import Iterable, Iterator
from pathlib import Path

from recipe_track.errors import CallError, Doubtful
from recipe_track.recipe.hulls import HullState
from recipe_track.recipe.records import Weighing
from recipe_track.recipe.snapshot import Snapshot
from recipe_track.review.hull.as_built import built_parts, fetch_hulls
from recipe_track.review.hull.weighings import computed_deviation, computed_mass, net_kg
from recipe_track.workspace import Workspace

FAR_FRACTION = 0.2
FAR_DEVIATIONS = 3
LARGEST_BYTES = 5_000_000
HEAD_BYTES = 4096

# What the first bytes of a file are, by the ending of its name; plain text has none, and holds no zero byte.
_ZIP = (b"PK\x03\x04",)
_BEGINS: dict[str, tuple[bytes, ...]] = {
    ".jpg": (b"\xff\xd8",),
    ".jpeg": (b"\xff\xd8",),
    ".png": (b"\x89PNG\r\n\x1a\n",),
    ".gif": (b"GIF87a", b"GIF89a"),
    ".tif": (b"II*\x00", b"MM\x00*"),
    ".tiff": (b"II*\x00", b"MM\x00*"),
    ".webp": (b"RIFF",),
    ".pdf": (b"%PDF-",),
    **dict.fromkeys((".docx", ".xlsx", ".pptx", ".odt", ".ods", ".odp"), _ZIP),
}
_CONTAINER = (".heic", ".heif")  # ISO base media file format: `ftyp` after four bytes of length
_PLAIN = (".txt", ".md", ".csv")
KNOWN_ENDINGS = (*_BEGINS, *_CONTAINER, *_PLAIN)

_EMPTY = re.compile(
    r"\b(?:light|empty|emptied|drained|dry|(?:no|without) (?:fuel|water|diesel|petrol)(?: or \w+)?"
    r"(?: aboard| on board)?)\b"
)
_ABOARD = re.compile(r"\b(?:not|aboard|on board|full|filled|fuel|diesel|petrol)\b")


def require_meant(doubts: Iterable[str], meant: bool, note: str | None) -> None:
    """Pass what is likely, and what is meant with a note; refuse the rest with all that was expected."""
    listed = tuple(doubts)
    if not listed:
        return
    if not meant:
        message, *details = listed if len(listed) == 1 else ("this is unlikely", *listed)
        raise Doubtful(message, "if it is meant, say so and why: --meant --note N", tuple(details))
    if not (note or "").strip():
        raise CallError("--meant goes with a note", f"say why: --note N ({'; '.join(listed)})")


def weighing_doubts(ws: Workspace, snapshot: Snapshot, weighing: Weighing) -> Iterator[str]:
    """A mass far from the computed one, and a craft that may not be as light as it is held against."""
    number = snapshot.records.number_of(weighing.hull)
    model = snapshot.hulls[number].model
    parts = built_parts(fetch_hulls(ws, snapshot), number, with_panels=False)
    computed = computed_mass(snapshot, parts, weighing, model)
    net = net_kg(weighing)
    if computed and abs(net - computed) > FAR_FRACTION * computed:
        spread = FAR_DEVIATIONS * computed_deviation(parts, weighing)
        if abs(net - computed) > spread:
            room = max(spread, FAR_FRACTION * computed)
            yield (
                f"{net:.1f} kg net is {100 * (net - computed) / computed:+.0f} % off the {computed:.1f} kg "
                f"computed for {weighing.part} of hull {number}: "
                f"{computed - room:.1f} to {computed + room:.1f} kg was expected"
            )
    if weighing.part == "craft":
        yield from _light_doubts(snapshot, model, f"{weighing.includes or ''} {weighing.note or ''}")


def _light_doubts(snapshot: Snapshot, model: str, said: str) -> Iterator[str]:
    tree = snapshot.models.get(model)
    variable = [mass.item for mass in tree.model.mass if mass.variable] if tree else []
    said = said.casefold()
    if not variable or (_EMPTY.search(said) and not _ABOARD.search(_EMPTY.sub(" ", said))):
        return
    told = "it is said what is aboard" if _ABOARD.search(said) else "it is not said whether it is"
    yield (
        f"a craft is held against its light condition, without {', '.join(variable)}, and {told}: "
        "--includes was expected to say that it is light, as `light, tanks drained`"
    )


def step_doubts(subject: str, before: str, after: str) -> Iterator[str]:
    """A state put back to one that lies before it."""
    yield f"{subject} is {before}, and {after} lies before that: a later state was expected"


def delivery_doubts(state: HullState, after: str) -> Iterator[str]:
    """A hull delivered of which parts were never laid by their records."""
    if after != "delivered":
        return
    missing = [f"{part.part} {part.state}" for part in state.parts if not part.is_started]
    if missing or not state.parts:
        said = ", ".join(missing) or "it has no part"
        yield f"hull {state.number} is to be delivered, and by its records {said}: parts were expected built"


def verification_doubts(change: str, hull: str) -> Iterator[str]:
    """A change looked at on a hull that does not have it."""
    yield f"by its record, no part of hull {hull} is built with {change}: one that has it was expected"


def attachment_doubts(files: Iterable[Path]) -> Iterator[str]:
    """Files that are no picture or document by their name and first bytes, or that are large."""
    for file in files:
        if file.exists() and not file.is_file():  # a pipe would wait for ever
            raise CallError(f"{file} cannot be attached: it is no file")
        try:
            size = file.stat().st_size
            with file.open("rb") as opened:
                head = opened.read(HEAD_BYTES)
        except OSError as error:
            raise CallError(f"{file} cannot be attached: {error.strerror}") from error
        yield from _file_doubts(file.name, head, size)


def _file_doubts(name: str, head: bytes, size: int) -> Iterator[str]:
    ending = Path(name).suffix.casefold()
    if ending not in KNOWN_ENDINGS:
        kinds = ", ".join(kind.lstrip(".") for kind in KNOWN_ENDINGS)
        yield f"{name} is no picture or document by its name: one of {kinds} was expected"
    elif not _begins_as(ending, head):
        yield f"{name} does not begin as a {ending.lstrip('.')} file does: what its name says was expected"
    if size > LARGEST_BYTES:
        yield f"{name} has {size / 1e6:.1f} MB: at most {LARGEST_BYTES / 1e6:.0f} MB was expected"


def _begins_as(ending: str, head: bytes) -> bool:
    if ending in _PLAIN:
        return b"\x00" not in head
    if ending in _CONTAINER:
        return head[4:8] == b"ftyp"
    if ending == ".webp" and head[8:12] != b"WEBP":
        return False
    return head.startswith(_BEGINS[ending])
