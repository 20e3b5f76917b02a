"""The life of a hull in words: what it carries, and what became of what was seen on it."""

from collections.abc import Iterator

from recipe_track.present.words.plain import visible
from recipe_track.present.words.records import date_words, decision_lines, verification_lines
from recipe_track.recipe.records import Action
from recipe_track.review.hull.life import Became, Carried


def carried_lines(carried: Carried) -> Iterator[str]:
    """In which parts and how, why, and whether it works."""
    parts = ", ".join(map(visible, carried.parts))
    how = "carried out on the built part" if carried.later else "with its release"
    first = f", first in {carried.release}" if carried.release else ", in no release yet"
    yield f"{parts}: {how}{first}; {carried.state}"
    yield f"“{visible(carried.change.reason)}”"
    yield from (line.strip() for line in verification_lines(carried.verifications))


def became_lines(became: Became) -> Iterator[str]:
    """Decisions, actions and changes that answer what was seen; that there is none is said."""
    yield from (line.strip() for line in decision_lines(became.decisions))
    for name, action in became.actions:
        yield from action_lines(name, action)
    for name, change in became.changes:
        yield f"answered by {name} {visible(change.title)}"
    if not (became.decisions or became.actions or became.changes):
        yield "nothing was decided or done about it yet"


def action_lines(name: str, action: Action) -> Iterator[str]:
    """What it came from, what was done, and what shows it."""
    yield f"action by {visible(action.by)}, {date_words(action.on)}, {name}"
    yield f"cause: {visible(action.cause)}"
    yield f"done: {visible(action.done)}"
    if action.evidence:
        yield f"evidence: {visible(action.evidence)}"
    if action.document and action.body:
        yield f"document: {visible(action.document)}, {visible(action.body)}"
