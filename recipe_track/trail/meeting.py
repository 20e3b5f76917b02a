"""What a merge should have made of one file, and what it did instead."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import reduce
from operator import or_

from recipe_track.trail.covering import Chain, Coverer, Question
from recipe_track.trail.edits import Edit
from recipe_track.trail.line import Stages


@dataclass(frozen=True, slots=True)
class Side:
    """One file at one parent: its blob, what landed on it, and the old name it may still have there."""

    path: str
    blob: str
    landed: int


@dataclass(frozen=True, slots=True)
class Meeting:
    """One file where lines of commits meet, and the blob that the merge left."""

    path: str
    sides: tuple[Side, ...]
    result: str
    claims: tuple[str, ...] = ()
    records: int = 0

    @property
    def union(self) -> int:
        """All that landed on any side."""
        return _union(side.landed for side in self.sides)


@dataclass(frozen=True, slots=True)
class Outcome:
    """The moves that a merge made beyond joining its sides, and the sides it did not do justice to."""

    chains: tuple[Chain, ...] = ()
    wronged: tuple[Side, ...] = ()


def expected(meeting: Meeting, coverer: Coverer, stages: Stages) -> Iterator[str]:
    """What the merge may hold: the side that holds all the others, else a clean merge of all."""
    holders = [side for side in meeting.sides if side.landed == meeting.union]
    yield from dict.fromkeys(side.blob for side in holders)
    if len({side.blob for side in holders}) != 1:
        yield from _merges(meeting.path, holders or meeting.sides, coverer, stages)


def _merges(path: str, sides: Sequence[Side], coverer: Coverer, stages: Stages) -> Iterator[str]:
    """Clean merges of all sides, one after the other.

    The base is the text with exactly what both sides hold, whichever line it was on: on it, an edit that one
    side took back stays taken back. Where equal sets have unequal texts, what they had before is the base.
    """
    first, *others = sides
    found: Iterable[str] = (first.blob,)
    landed = first.landed
    for side in others:
        shared = landed & side.landed
        equal = landed == side.landed
        bases = stages.bases(path, shared, shared if equal else -1)
        found = _joined(path, bases, found, side.blob, coverer)
        landed |= side.landed
    yield from found


def _joined(
    path: str, bases: Iterable[str], ours: Iterable[str], theirs: str, coverer: Coverer
) -> Iterator[str]:
    for one in ours:
        for base in bases:
            yield from coverer.texts.merged(path, base, one, theirs)


def judge(meeting: Meeting, coverer: Coverer, stages: Stages) -> Outcome:
    """How the result came about: as expected, by further changes that were decided, or by none."""
    if all(side.blob == meeting.result and side.path == meeting.path for side in meeting.sides):
        return Outcome()
    hoped: list[str] = []
    for blob in expected(meeting, coverer, stages):
        if coverer.texts.same(blob, meeting.result):
            return Outcome()
        hoped.append(blob)
    for decided in (True, False):
        for blob in hoped:
            chain = coverer.cover(
                Question(
                    meeting.path,
                    blob,
                    meeting.result,
                    meeting.union,
                    0,
                    decided,
                    claims=meeting.claims,
                    records=meeting.records,
                )
            )
            if chain is not None:
                return Outcome((chain,))
        outcome = _by_side(meeting, coverer, decided)
        if not outcome.wronged:
            return outcome
    return replace(outcome, wronged=_told(meeting, outcome.wronged, hoped, coverer))


def _told(
    meeting: Meeting, wronged: tuple[Side, ...], hoped: Sequence[str], coverer: Coverer
) -> tuple[Side, ...]:
    """The sides that have to be told: one where a decision about it would do for the others, too."""
    texts, result = coverer.texts, meeting.result
    for side in sorted(wronged, key=lambda side: side.landed != meeting.union):
        if side.path != meeting.path or texts.same(side.blob, result):
            continue
        if side.landed == meeting.union:
            return (side,)
        merges = (blob for hope in hoped for blob in texts.merged(meeting.path, side.blob, hope, result))
        return (side,) if any(texts.same(blob, result) for blob in merges) else wronged
    return wronged


def _by_side(meeting: Meeting, coverer: Coverer, decided: bool) -> Outcome:
    """The result as an edit of each side; nothing that landed on any side may be lost on the way."""
    chains = [_chain(meeting, side, coverer, decided) for side in meeting.sides]
    kept = _union(
        side.landed | coverer.bits.mask(token for move in chain for token in move.tokens)
        for side, chain in zip(meeting.sides, chains, strict=True)
        if chain is not None
    )
    wronged = tuple(
        side
        for side, chain in zip(meeting.sides, chains, strict=True)
        if chain is None and side.landed & ~kept
    )
    if all(chain is None for chain in chains):
        wronged = meeting.sides
    return Outcome(tuple(chain for chain in chains if chain), wronged)


def _chain(meeting: Meeting, side: Side, coverer: Coverer, decided: bool) -> Chain | None:
    renames = (side.path, meeting.path) if side.path != meeting.path else None
    if renames is None and coverer.texts.same(side.blob, meeting.result):
        return ()
    carried = meeting.union & ~side.landed
    return coverer.cover(
        Question(
            meeting.path,
            side.blob,
            meeting.result,
            side.landed,
            carried,
            decided,
            renames,
            meeting.claims,
            meeting.records,
        )
    )


def edits_against(meeting: Meeting, side: Side) -> list[Edit]:
    """What a merge did to one of its sides."""
    if side.path == meeting.path:
        return [Edit(meeting.path, side.blob, meeting.result)]
    return [Edit(side.path, side.blob, ""), Edit(meeting.path, "", meeting.result)]


def _union(masks: Iterable[int]) -> int:
    return reduce(or_, masks, 0)
