"""Adds up what a walk found."""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import reduce
from operator import or_

from recipe_track.trail.covering import Coverer
from recipe_track.trail.edits import Change, Commit
from recipe_track.trail.line import Line
from recipe_track.trail.missing import detours, not_landed
from recipe_track.trail.moves import Names, Token
from recipe_track.trail.verdict import Finding, Key, Landing, NotLanded, Verdict, finding_of


@dataclass
class Found:
    """What a walk notes on its way."""

    landings: list[Landing] = field(default_factory=list)
    joined: dict[str, tuple[str, ...]] = field(default_factory=dict)
    findings: dict[Token, list[Commit]] = field(default_factory=dict)
    unseen: list[str] = field(default_factory=list)


def recorded(path: str) -> Token:
    """The token of a record that a line of commits holds."""
    return Token("record", path, 0)


def verdict(
    found: Found, kept: Mapping[str, Line], changes: Sequence[Change], coverer: Coverer, names: Names
) -> Verdict:
    """The answer for the lines kept, main's tip first."""
    masks = {commit: reduce(or_, line.landed.values(), 0) for commit, line in kept.items()}
    held = {commit: frozenset(_held(coverer, mask)) for commit, mask in masks.items()}
    voids = detours(changes, frozenset().union(*held.values()))
    landed_by: dict[str, list[Landing]] = defaultdict(list)
    landings: dict[str, list[Landing]] = defaultdict(list)
    for landing in found.landings:
        landed_by[landing.commit].append(landing)
        landings[landing.change].append(landing)
    return Verdict(
        landings={change: tuple(row) for change, row in landings.items()},
        landed_by={commit: tuple(row) for commit, row in landed_by.items()},
        joined_by=found.joined,
        findings=tuple(_findings(found, changes, coverer, next(iter(masks.values()), 0))),
        not_landed=tuple(_not_landed(kept, held, voids, changes, coverer, names)),
        held=held,
        void=voids,
        unseen=tuple(dict.fromkeys(found.unseen)),
    )


def _held(coverer: Coverer, mask: int) -> Iterator[Key]:
    tokens = coverer.bits.within(mask)
    return ((token.change, token.number) for token in tokens if token.kind == "landed")


def _findings(found: Found, changes: Sequence[Change], coverer: Coverer, tip: int) -> Iterator[Finding]:
    edits = {
        Token("landed", change.id, number): edit
        for change in changes
        for number, edit in enumerate(change.edits)
    }
    for token, commits in found.findings.items():
        back = Token("taken back", token.change, token.number)
        ended = bool(token.change) and coverer.bits.has(tip, back)
        yield finding_of(token.edit or edits[token], commits, token.change, ended)


def _not_landed(
    kept: Mapping[str, Line],
    held: Mapping[str, frozenset[Key]],
    voids: frozenset[Key],
    changes: Sequence[Change],
    coverer: Coverer,
    names: Names,
) -> Iterator[NotLanded]:
    """At the tip every decision counts, at a release those that it holds itself."""
    approved = [
        (change, coverer.bits.bit(recorded(change.decision)))
        for change in changes
        if change.standing == "approved"
    ]
    for place, (commit, line) in enumerate(kept.items()):
        decided = [change for change, bit in approved if place == 0 or line.records & bit]
        yield from not_landed(commit, line, decided, held[commit] | voids, names, coverer.texts)
