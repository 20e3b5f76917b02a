"""What is on record of one change, in words that text and pages share."""

from collections.abc import Iterator, Sequence

from recipe_track.present.words.plain import visible
from recipe_track.present.words.records import decision_lines, indented, verification_lines
from recipe_track.present.words.units import signed_quantity, words_for
from recipe_track.recipe.records import Change, Expected, ExpectedZone
from recipe_track.review.change.expected import EXPECTED_CRAFT, EXPECTED_ZONE
from recipe_track.review.change.minima import Concern
from recipe_track.review.change.register import ChangeShown


def considered_lines(change: Change) -> Iterator[str]:
    """What else was weighed, and why it was not taken."""
    yield from indented(change.considered, "") if change.considered else ()
    for weighed in change.weighed:
        yield f"{visible(weighed.zone)}: {visible('; '.join(weighed.layup))}"
        yield from indented(f"not taken: {weighed.why_not}", "") if weighed.why_not else ()


def concern_head(concern: Concern) -> str:
    """What a concern is about."""
    return "uses above 1" if concern.kind == "exceeded" else "required minima"


def effect_lines(shown: ChangeShown) -> Iterator[str]:
    """What a change was expected to do, where today's figures depart from that, and broken minima."""
    if shown.trouble:
        yield f"its effect cannot be computed now: {visible(shown.trouble)}"
    if shown.expected is not None:
        yield "expected when proposed:"
        yield from _expected_lines(shown.expected, shown.currency)
    elif shown.now is not None:
        yield "nothing was expected in figures; computed now:"
        yield from _expected_lines(shown.now, shown.currency)
    if shown.difference:
        yield "today's figures differ from those expected then:"
        yield from (f"  {visible(line)}" for line in shown.difference)
    elif shown.expected is not None and shown.now is not None:
        yield "computed again, the figures are as expected"
    for head in dict.fromkeys(map(concern_head, shown.concerns)):
        yield f"{head}:"
        told = (c for c in shown.concerns if concern_head(c) == head)
        yield from (f"  {visible(c.zone)}: {visible(c.text)}" for c in told)


def _expected_lines(expected: Expected, currency: str | None) -> Iterator[str]:
    rows: list[tuple[str, Expected | ExpectedZone, Sequence[str]]] = [("craft", expected, EXPECTED_CRAFT)]
    rows += [(visible(name), zone, EXPECTED_ZONE) for name, zone in expected.zones.items()]
    for name, source, keys in rows:
        values = [(key, getattr(source, key)) for key in keys if getattr(source, key) is not None]
        said = ", ".join(f"{words_for(key)} {signed_quantity(key, value, currency)}" for key, value in values)
        if said:
            yield f"  {name}: {said}"


def outcome_lines(shown: ChangeShown) -> Iterator[str]:
    """Whether it worked; that nobody looked is said, too."""
    yield from verification_lines(shown.row.verifications)
    if shown.row.state in ("approved", "released"):
        yield "not verified yet"


def hulls_words(shown: ChangeShown) -> str:
    """`012, 013; planned on 016`."""
    planned = f"planned on {', '.join(shown.hulls_planned)}" if shown.hulls_planned else ""
    return "; ".join(filter(None, (", ".join(shown.hulls) or "none", planned)))


def change_sections(shown: ChangeShown) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Everything on record of a change but its reason, under headings; what is not there is left out."""
    row = shown.row
    sections = (
        ("What else was weighed", considered_lines(row.change)),
        ("Expected effect", effect_lines(shown)),
        ("Decision", decision_lines(row.decisions, shown.proof) or ["not decided"]),
        ("Verification", outcome_lines(shown)),
        ("Answers", row.change.answers),
        ("First in", (row.release,) if row.release else ()),
        ("On hulls", (hulls_words(shown),) if shown.hulls or shown.hulls_planned else ()),
    )
    for heading, lines in sections:
        if listed := tuple(line.strip() for line in lines):
            yield heading, listed
