"""The story of a zone's layers as text and JSON."""

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

from recipe_track.present.figures import plain_data, revision_json, revision_words
from recipe_track.present.hulls import deviation_json, deviation_lines
from recipe_track.present.layers import layer_words
from recipe_track.present.plain import visible, visible_lines
from recipe_track.present.records import day, record_json, trial_line
from recipe_track.procedures.why import Cause, LayerStory, RemovedStory, ZoneStory

if TYPE_CHECKING:
    from rich.console import RenderableType

SHALLOW = "This is a shallow clone: layers may be older than they look (`git fetch --unshallow`)."
SINCE_WORDS = {"added": "added in", "altered": "altered in", "replaced": "replaced in"}


def why_json(story: ZoneStory) -> dict[str, Any]:
    """The body of `why --json`."""
    return {
        "zone": story.zone,
        "names": list(story.names),
        "model": story.model,
        "revision": revision_json(story.revision),
        "hull": story.hull,
        "layers": [_layer_json(layer) for layer in story.layers],
        "removed": [_removed_json(layer) for layer in story.removed],
        "deviations": [deviation_json(row) for row in story.deviations],
        "complete": story.complete,
    }


def _cause_json(cause: Cause) -> dict[str, Any]:
    return {
        "since": revision_json(cause.since),
        "change": cause.change_id,
        "title": cause.change.title if cause.change else None,
        "reason": cause.reason,
        "category": cause.change.category if cause.change else None,
        "trials": [i for i, _ in cause.trials],
        "observations": [record_json(i, trial) for i, trial in cause.trials],
        "proposed_by": cause.change.by if cause.change else None,
        "approved_by": cause.approval[1].by if cause.approval else None,
        "outcome": cause.outcome,
        "verified_on": [verification.hull for _, verification in cause.verifications],
    }


def _layer_json(layer: LayerStory) -> dict[str, Any]:
    return {
        "line": layer.layer.line,
        "layer": plain_data(layer.layer),
        "mark": layer.mark,
        "was": plain_data(layer.was),
        **_cause_json(layer.cause),
        "hulls": list(layer.hulls),
        "earlier": [_cause_json(cause) for cause in layer.earlier],
    }


def _removed_json(layer: RemovedStory) -> dict[str, Any]:
    cause = _cause_json(layer.cause)
    return {
        "line": layer.layer.line,
        "layer": plain_data(layer.layer),
        "since": revision_json(layer.brought.since),
        "removed": cause.pop("since"),
        **cause,
        "brought_by": layer.brought.change_id,
        "hulls": list(layer.hulls),
    }


def why_text(story: ZoneStory) -> "Iterator[RenderableType]":
    """Every layer, mould side first, with its reason; then what was taken out."""
    of = f" as built for hull {story.hull}" if story.hull else ""
    yield f"{visible(story.zone)} · {visible(story.model)} at {revision_words(story.revision)}{of}"
    if len(story.names) > 1:
        yield f"  earlier: {', '.join(map(visible, story.names[1:]))}"
    for layer in story.layers:
        yield ""
        yield from _layer_lines(layer, story.mats)
    if story.removed:
        yield ""
        yield "taken out"
    for gone in story.removed:
        yield from _removed_lines(gone, story.mats)
    for row in story.deviations:
        yield ""
        yield from deviation_lines(row)
    if not story.complete:
        yield SHALLOW


def _layer_lines(layer: LayerStory, mats: frozenset[str]) -> Iterator[str]:
    yield f"{layer.layer.line:>2}  {layer_words(layer.layer, mats)}"
    was = f" (was {layer_words(layer.was, mats)})" if layer.was else ""
    yield f"    {SINCE_WORDS.get(layer.mark, 'since')} {revision_words(layer.cause.since)}{was}"
    yield from (f"    {line}" for line in _cause_lines(layer.cause))
    for cause in layer.earlier:
        yield f"    some of its plies since {revision_words(cause.since)}: {_reason(cause)}"
    yield f"    {_hulls(layer.hulls)}"


def _removed_lines(gone: RemovedStory, mats: frozenset[str]) -> Iterator[str]:
    yield f" -  {layer_words(gone.layer, mats)} (line {gone.layer.line} then)"
    yield f"    in since {revision_words(gone.brought.since)}: {_reason(gone.brought)}"
    yield f"    out in {revision_words(gone.cause.since)}"
    yield from (f"    {line}" for line in _cause_lines(gone.cause))
    yield f"    {_hulls(gone.hulls)}"


def _cause_lines(cause: Cause) -> Iterator[str]:
    yield _reason(cause)
    yield from (f"  {trial_line(i, trial)}" for i, trial in cause.trials)
    if cause.change is not None:
        approved = _approved(cause)
        yield f"proposed by {visible(cause.change.by)}, {approved}; {_outcome(cause)}"


def _reason(cause: Cause) -> str:
    reason = visible_lines(cause.reason).replace("\n", " ")
    return f"{cause.change_id} “{reason}”" if cause.change_id else f"“{reason}” (no change record)"


def _approved(cause: Cause) -> str:
    if cause.approval is None:
        return "not approved"
    return f"approved by {visible(cause.approval[1].by)}, {day(cause.approval[1].on)}"


def _outcome(cause: Cause) -> str:
    if not cause.verifications:
        return "not verified"
    verification = cause.verifications[-1][1]
    return f"{verification.outcome.replace('-', ' ')} on hull {verification.hull}"


def _hulls(hulls: Sequence[str]) -> str:
    return f"on hull{'s' if len(hulls) > 1 else ''} {', '.join(hulls)}" if hulls else "on no hull"
