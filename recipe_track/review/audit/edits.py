"""Edits of what is governed: each decided, each decision landed, main itself valid."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING, get_args

from recipe_track.figures.materials import NotComputable
from recipe_track.history.ancestry import Ancestor
from recipe_track.recipe.entitlement import DeciderFault
from recipe_track.recipe.paths import file_at, model_at
from recipe_track.recipe.records import DECIDED_AGAIN, Change
from recipe_track.recipe.states import holds_by_zone, open_trials
from recipe_track.review.audit.finding import Finding, Place, found_in
from recipe_track.review.audit.scope import Scope, removed_zones
from recipe_track.review.change.reverification import step_concerns, uncovered_in

if TYPE_CHECKING:
    from recipe_track.errors import Problem
    from recipe_track.history.ancestry import Ancestor
    from recipe_track.trail import Finding as Undecided

# What keeps a decision from having an effect and is a finding of its own: its edits are told under that one.
WAITING = ("by-another", *get_args(DeciderFault))


def check_decided(scope: Scope) -> Iterator[Finding]:
    """Every edit of a governed file is covered by an approved change."""
    return edits_not_decided(scope, [one for one in scope.verdict.open if not _waits(scope, one.change)])


def edits_not_decided(scope: Scope, edits: Iterable[Undecided]) -> Iterator[Finding]:
    """Those of the edits that are of the models looked at, as findings."""
    for undecided in edits:
        if not _is_of_models(scope, undecided.edit.path):
            continue
        commit = scope.trail.by_id[undecided.commits[0]]
        edit = undecided.edit
        yield Finding(
            "edit-not-decided", edit.path,
            f"{_what(scope, undecided)} by {commit.author}, {commit.date[:10]}:"
            f" “{commit.message.splitlines()[0] if commit.message else ''}”{_claim(scope, undecided)}",
            _remedy(scope, undecided, commit), edit.path, **found_in(commit),
            basis=(edit.path, edit.before, edit.after),
        )  # fmt: skip


def _is_of_models(scope: Scope, path: str) -> bool:
    return scope.looks_at(model_at(path))


def _waits(scope: Scope, change: str) -> bool:
    """Whether its decision is there without effect, for whose it is: that is the one finding told of it."""
    decisions = [i for i, d in scope.trail.written.items() if getattr(d, "about", None) == change]
    if not change or scope.trail.standing_of(change)[0] == "rejected":
        return False
    return any(scope.trail.void.get(name) in WAITING for name in decisions)


def _is_rejected(scope: Scope, undecided: Undecided) -> bool:
    return scope.trail.standing_of(undecided.change)[0] == "rejected"


def _what(scope: Scope, undecided: Undecided) -> str:
    if undecided.change:
        word = "was rejected" if _is_rejected(scope, undecided) else "is not approved"
        return f"an edit of {undecided.change}, which {word}, is on main,"
    edit = undecided.edit
    return f"it was {'added' if not edit.before else 'removed' if not edit.after else 'changed'} undecided"


def _claim(scope: Scope, undecided: Undecided) -> str:
    """What its trailers say that is not so; they prove nothing."""
    false = [claim for claim in undecided.claims if not _holds(scope, claim, undecided)]
    if not false:
        return ""
    known = any(claim in scope.trail.written for claim in false)
    said = ", ".join(false)
    return f"; it claims {said}, which {'does not hold this edit' if known else 'is not on record'}"


def _holds(scope: Scope, claim: str, undecided: Undecided) -> bool:
    """Whether the change that a commit claims has the edit, decided or not."""
    change, edit = scope.trail.written.get(claim), undecided.edit
    edits = change.edit if isinstance(change, Change) else ()
    same = any((e.path, e.before, e.after) == (edit.path, edit.before, edit.after) for e in edits)
    return same or claim == undecided.change


def _remedy(scope: Scope, undecided: Undecided, commit: Ancestor) -> str:
    """Taken back by hand alone it would be two edits that nobody decided."""
    if not undecided.change:
        return f"`change propose --landed {commit.id[:10]}` with the reason, and have it decided"
    if _is_rejected(scope, undecided):
        return "take the edit back"
    return f"have it decided: `change approve {undecided.change}`, or `change reject` and take it back"


def check_landed(scope: Scope) -> Iterator[Finding]:
    """Every edit of an approved change is on main, and in every release that holds its decision."""
    for missing in scope.verdict.not_landed:
        change = scope.trail.written.get(missing.change)
        if not isinstance(change, Change) or not scope.concerns(change):
            continue
        where = "main" if missing.at == scope.trail.tip else _release(scope, missing.at)
        if where is None:
            continue
        yield Finding(
            "approved-not-landed", missing.change,
            f"it is approved, and {where} lacks its edit of {missing.edit.path}",
            "bring it (merge the branch again), or decide on what is there with a new change",
            missing.edit.path, missing.at, change.by, change.on.isoformat(),
            (missing.edit.path, missing.edit.before, missing.edit.after, where),
        )  # fmt: skip


def _release(scope: Scope, commit: str) -> str | None:
    return next((r.tag for _, r in scope.releases() if r.commit == commit), None)


def check_main(scope: Scope) -> Iterator[Finding]:
    """What stands on main is valid; a record or a hull file that is gone is told as that."""
    for problem in scope.main.problems:
        if problem.file in scope.trail.origins and problem.file not in scope.files:
            continue
        place = f"{problem.file}:{problem.line}" if problem.line else problem.file
        yield Finding(
            "main-invalid", problem.file, f"{place}: {problem.message}", _put_right(scope, problem),
            problem.file, **_last_touch(scope, problem.file), basis=(problem.file, problem.message),
        )  # fmt: skip


def _put_right(scope: Scope, problem: Problem) -> str:
    """What ends it: a file is edited, a record never; what is never corrected is taken out and told."""
    file, hint = file_at(problem.file), problem.hint or "put it right"
    if file is None or file.kind != "record":
        return hint
    if file.id[0] in DECIDED_AGAIN or file.id not in scope.trail.written:
        told = f"`action record 'record-deleted {file.id}' --cause … --done …`"
        out = f"`git rm {problem.file}`"
        return f"{hint}; it cannot be corrected: {out}, and have someone else say why: {told}"
    key = next((part for part in problem.key if isinstance(part, str)), "KEY")
    return f"{hint}: `record correct {file.id} --set {key}=… --note …`"


def _last_touch(scope: Scope, path: str) -> Place:
    """What last changed a file, or else the tip."""
    touching = [commit for commit, _ in scope.trail.touching(path)]
    return found_in(touching[-1] if touching else scope.trail.by_id[scope.trail.tip])


def check_first_reasons(scope: Scope) -> Iterator[Finding]:
    """The first issue of a model says why."""
    for commit in scope.trail.ancestors:
        added = [file for t in commit.touches if not t.before and (file := file_at(t.path))]
        models = {file.id for file in added if file.kind == "model" and file.id in scope.models}
        if not models or commit.trailer("Reason") or commit.edge or _decided(scope, commit):
            continue
        yield Finding(
            "first-issue-without-reason", ", ".join(sorted(models)),
            "the first issue of a model gives no reason",
            "say it in an action: `action record … --cause … --done …`", None, **found_in(commit),
        )  # fmt: skip


def _decided(scope: Scope, commit: Ancestor) -> bool:
    return bool(scope.verdict.landed_by.get(commit.id))


def check_minima(scope: Scope) -> Iterator[Finding]:
    """A required minimum broken or re-based was re-verified."""
    for model in scope.models:
        for step in step_concerns(scope.steps[model], scope.snapshot, model):
            for concern in () if step.reverified else step.concerns:
                if concern.kind == "exceeded":
                    continue  # a use above 1 is told as it stands, see check_margins
                rule = "minimum-broken" if concern.kind == "broken" else "minimum-rebased"
                brought = ", ".join(step.changes) or step.commit.id[:10]
                yield Finding(
                    rule, concern.zone, f"{concern.text}, since {brought}, without a re-verification",
                    "have the scantlings checked by who stands for them; approve with --reverified",
                    None, **found_in(step.commit), basis=(concern.zone, concern.key, concern.text),
                )  # fmt: skip


def check_margins(scope: Scope) -> Iterator[Finding]:
    """A use above 1 that stands on main was re-verified."""
    for model in scope.models:
        try:
            found = tuple(uncovered_in(scope.steps[model], scope.snapshot, model))
        except NotComputable:  # an invalid main is a finding of its own
            continue
        for one in found:
            if one.shortfall.kind != "exceeded":
                continue
            commit = one.step.commit if one.step else scope.trail.by_id[scope.trail.tip]
            brought = ", ".join(one.step.changes) if one.step and one.step.changes else commit.id[:10]
            yield Finding(
                "margin-exceeded", one.zone,
                f"{one.shortfall.text}, since {brought}, without a re-verification",
                "bring it to 1 or below, or have it checked by who stands for the scantlings",
                None, **found_in(commit), basis=(one.zone, one.key, f"{one.value:.3g}"),
            )  # fmt: skip


def check_zones_kept(scope: Scope) -> Iterator[Finding]:
    """No zone that matters vanishes without one that names it as an earlier name.

    It matters by the minima that it had, or by a hold or an open observation on it now.
    """
    for model in scope.models:
        now = scope.snapshot.zones_of(model)
        named = {old for zone in now.values() for old in zone.formerly}
        for commit in scope.trail.ancestors:
            for name in removed_zones(commit, model):
                why = "" if name in now or name in named else _mattered(scope, model, commit, name)
                if why:
                    yield Finding(
                        "zone-vanished", f"{model} {name}",
                        f"it had {why}, and no zone names it in `formerly`",
                        f"name it where it lives on: formerly = [\"{name}\"]", f"models/{model}/{name}.toml",
                        **found_in(commit), basis=(model, name),
                    )  # fmt: skip


def _mattered(scope: Scope, model: str, commit: Ancestor, name: str) -> str:
    """What a zone had that its removal would hide; empty for nothing."""
    if not commit.parents or commit.parents[0] not in scope.before_removals:
        return ""
    before = scope.before_removals[commit.parents[0]].zones_of(model).get(name)
    if before is None:
        return ""
    if before.required is not None:
        return "required minima"
    held = holds_by_zone(scope.snapshot, model).get(name)
    if held:
        return f"a hold ({held[0].record})"
    still_open = open_trials(scope.snapshot.records)
    seen = [i for i, trial in still_open if trial.zone == name and scope.is_on(trial.hull, model)]
    return f"an open observation ({seen[0]})" if seen else ""


RULES = (
    check_decided,
    check_landed,
    check_main,
    check_first_reasons,
    check_minima,
    check_margins,
    check_zones_kept,
)


def paths_of(findings: Iterable[Finding]) -> tuple[str, ...]:
    """The files that findings are about."""
    return tuple(dict.fromkeys(finding.file for finding in findings if finding.file))
