"""Edits of what is governed: each decided, each decision landed, main itself valid."""

from collections.abc import Iterable, Iterator

from recipe_track.history.ancestry import Ancestor
from recipe_track.recipe.paths import file_at, model_at
from recipe_track.recipe.records import Change
from recipe_track.review.audit.finding import Finding, Place, found_in
from recipe_track.review.audit.scope import Scope, removed_zones
from recipe_track.review.change.reverification import step_concerns
from recipe_track.trail import Finding as Undecided


def check_decided(scope: Scope) -> Iterator[Finding]:
    """Every edit of a governed file is covered by an approved change."""
    for undecided in scope.verdict.open:
        if not _is_of_models(scope, undecided.edit.path) or _waits_for_confirmation(scope, undecided.change):
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


def _waits_for_confirmation(scope: Scope, change: str) -> bool:
    """Whether its decision is there in someone else's name: that is the one finding told of it."""
    decisions = [i for i, d in scope.trail.written.items() if getattr(d, "about", None) == change]
    return bool(change) and any(scope.trail.void.get(name) == "by-another" for name in decisions)


def _is_rejected(scope: Scope, undecided: Undecided) -> bool:
    return scope.trail.standing_of(undecided.change)[0] == "rejected"


def _what(scope: Scope, undecided: Undecided) -> str:
    if undecided.change:
        word = "was rejected" if _is_rejected(scope, undecided) else "is not approved"
        return f"an edit of {undecided.change}, which {word}, is on main,"
    edit = undecided.edit
    return f"it was {'added' if not edit.before else 'removed' if not edit.after else 'changed'} undecided"


def _claim(scope: Scope, undecided: Undecided) -> str:
    """What its trailers say, which proves nothing."""
    if not undecided.claims:
        return ""
    known = [claim for claim in undecided.claims if claim in scope.trail.written]
    said = ", ".join(undecided.claims)
    return f"; it claims {said}, which {'does not hold this edit' if known else 'is not on record'}"


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
    """What stands on main is valid."""
    for problem in scope.main.problems:
        place = f"{problem.file}:{problem.line}" if problem.line else problem.file
        yield Finding(
            "main-invalid", problem.file, f"{place}: {problem.message}", problem.hint or "put it right",
            problem.file, **_last_touch(scope, problem.file), basis=(problem.file, problem.message),
        )  # fmt: skip


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
                rule = "minimum-broken" if concern.kind == "broken" else "minimum-rebased"
                brought = ", ".join(step.changes) or step.commit.id[:10]
                yield Finding(
                    rule, concern.zone, f"{concern.text}, since {brought}, without a re-verification",
                    "have the scantlings checked by who stands for them; approve with --reverified",
                    None, **found_in(step.commit), basis=(concern.zone, concern.key, concern.text),
                )  # fmt: skip


def check_zones_kept(scope: Scope) -> Iterator[Finding]:
    """No zone with required minima vanishes without one that names it as an earlier name."""
    for model in scope.models:
        now = scope.snapshot.zones_of(model)
        named = {old for zone in now.values() for old in zone.formerly}
        for commit in scope.trail.ancestors:
            for name in removed_zones(commit, model):
                if name not in now and name not in named and _mattered(scope, model, commit, name):
                    yield Finding(
                        "zone-vanished", f"{model} {name}",
                        "it had required minima, and no zone names it in `formerly`",
                        f"name it where it lives on: formerly = [\"{name}\"]", f"models/{model}/{name}.toml",
                        **found_in(commit), basis=(model, name),
                    )  # fmt: skip


def _mattered(scope: Scope, model: str, commit: Ancestor, name: str) -> bool:
    if not commit.parents or commit.parents[0] not in scope.before_removals:
        return False
    before = scope.before_removals[commit.parents[0]].zones_of(model).get(name)
    return before is not None and before.required is not None


RULES = (check_decided, check_landed, check_main, check_first_reasons, check_minima, check_zones_kept)


def paths_of(findings: Iterable[Finding]) -> tuple[str, ...]:
    """The files that findings are about."""
    return tuple(dict.fromkeys(finding.file for finding in findings if finding.file))
