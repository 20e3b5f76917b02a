"""Observations that restrict use or are unsafe: answered."""

from collections.abc import Iterator

from recipe_track.procedures.audit.scope import Finding, Scope
from recipe_track.recipe.states import HOLD_SEVERITY, open_trials, trial_state


def check_answered(scope: Scope) -> Iterator[Finding]:
    """Every observation of severity 4 or 5 is answered by an approved change or a decision."""
    for trial_id, trial in open_trials(scope.snapshot.records):
        if trial.severity < HOLD_SEVERITY or not scope.of_model(trial.hull):
            continue
        contained = trial_state(scope.snapshot.records, trial_id) == "contained"
        state = "contained, but not answered" if contained else "neither contained nor answered"
        hold = "" if contained else f"; {trial.zone} is on hold"
        yield Finding(
            "observation-unanswered", trial_id,
            f"severity {trial.severity}, {trial.observation} in {trial.zone} of hull {trial.hull}"
            f" since {trial.on}: {state}{hold}",
            f"propose a change that lists it, or `trial decide {trial_id}`",
        )  # fmt: skip


RULES = (check_answered,)
