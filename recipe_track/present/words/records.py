"""Records as JSON objects, and the words that several views share."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import TYPE_CHECKING

from recipe_track.present.words.figures import day_words
from recipe_track.present.words.plain import visible, visible_lines

if TYPE_CHECKING:
    from recipe_track.recipe.hulls import HullPart
    from recipe_track.recipe.records import Decision, Trial, Verification
    from recipe_track.recipe.states import Hold

SEVERITIES = {
    1: "cosmetic",
    2: "a nuisance",
    3: "affects use",
    4: "restricts use",
    5: "unsafe",
}
ACTION_WORDS = {"as-is": "stays as it is", "rework": "rework", "retrofit": "retrofit", "recall": "recall"}
IN_WORDS = {"too-flexible": "too flexible", "stiffer-than-needed": "stiffer than needed"}


def date_words(on: date) -> str:
    """`22 Apr 2026`."""
    return day_words(on.isoformat())


def severity_words(severity: int) -> str:
    """`severity 4, restricts use`."""
    return f"severity {severity}, {SEVERITIES[severity]}"


def observation_words(observation: str) -> str:
    """The observation without its hyphens."""
    return IN_WORDS.get(observation, observation.replace("-", " "))


def trial_line(trial_id: str, trial: Trial) -> str:
    """`T-7K3QX2: too flexible, severity 3, affects use, hull 014, 22 Apr 2026`."""
    what = f"{observation_words(trial.observation)}, {severity_words(trial.severity)}"
    return f"{trial_id}: {what}, hull {trial.hull}, {visible(trial.zone)}, {date_words(trial.on)}"


def former_words(former: HullPart | None) -> str:
    """`, copy 1, scrapped`: of a part that another one stands in for."""
    return f", copy {former.copy}, {former.state}" if former else ""


def hold_line(hold: Hold) -> str:
    """`HOLD hull/transom: severity 4 observation on hull 014, open (T-SQHKYH)`."""
    return f"HOLD {visible(hold.zone)}: {visible(hold.reason)} ({hold.record})"


def indented(text: str, by: str = "    ") -> list[str]:
    """What a person typed, line by line, each moved in."""
    return [f"{by}{line}" for line in visible_lines(text.strip()).split("\n")]


def decision_lines(decisions: Sequence[tuple[str, Decision]], proof: str | None = None) -> list[str]:
    """Who decided what and when, with the note, the re-verification and what happens on hulls built."""
    lines: list[str] = []
    for decision_id, decision in decisions:
        proven = f" ({proof})" if proof else ""
        said = decision.decision.replace("-", " ")
        lines.append(f"{said} by {visible(decision.by)}, {date_words(decision.on)}{proven}, {decision_id}")
        lines += indented(decision.note) if decision.note else []
        if decision.reverification:
            checked = decision.reverification
            document, body = visible(checked.document), visible(checked.body)
            lines.append(
                f"    re-verified: {document}, {body}, {visible(checked.by)}, {date_words(checked.on)}"
            )
        for action in decision.hull_action:
            lines.append(f"    hull {action.hull}, {visible(action.part)}: {ACTION_WORDS[action.action]}")
    return lines


def verification_lines(verifications: Sequence[tuple[str, Verification]]) -> list[str]:
    """Whether it worked, where, and by whom."""
    lines: list[str] = []
    for verification_id, verification in verifications:
        outcome = verification.outcome.replace("-", " ")
        by = f"{visible(verification.by)}, {date_words(verification.on)}, {verification_id}"
        lines.append(f"{outcome} on hull {verification.hull} by {by}")
        lines += indented(verification.note) if verification.note else []
    return lines
