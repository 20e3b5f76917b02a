"""Releasing a model: an annotated tag on main, unless something stands against it."""

from collections.abc import Iterator

from recipe_track.errors import InvalidRecipe, Refused
from recipe_track.history.people import identity
from recipe_track.history.refs import create_release, main_remote
from recipe_track.procedures.writing import Done, noted
from recipe_track.recipe.hulls import STARTED
from recipe_track.recipe.snapshot import Snapshot
from recipe_track.recipe.states import holds_by_zone
from recipe_track.review.audit import Audit, audited
from recipe_track.review.audit.decisions import FAULTS
from recipe_track.review.audit.edits import edits_not_decided
from recipe_track.review.audit.finding import ordered
from recipe_track.review.audit.scope import Scope, scope_of
from recipe_track.review.change.reverification import uncovered
from recipe_track.review.choosing import one_of, require_hull_number
from recipe_track.workspace import Revision, Workspace


def release_model(ws: Workspace, model: str, from_hull: str | None = None, dry_run: bool = False) -> Done:
    """Tag main's tip as the next release of a model."""
    snapshot = ws.current()
    one_of("model", model, snapshot.models)
    if from_hull is not None:
        require_hull_number(from_hull)
    identity(ws.repo)
    tip = ws.revision_of(ws.tip(), model)
    _require_releasable(ws, snapshot, model, tip)
    n = max((release.n for release in ws.labels(model).releases), default=0) + 1
    first = f"first hull {from_hull}" if from_hull else "first hull not named"
    message = f"{model} r{n}: {first}\n"
    if not dry_run:
        create_release(ws.repo, model, n, ws.tip(), message, sign=snapshot.settings.approval.signed or None)
    told = f"released {model}/r{n}{f', {first}' if from_hull else ''}"
    said = (told, *_sharing(ws, f"{model}/r{n}"), *_started(snapshot, model, n), *noted(ws))
    return Done(None, None if dry_run else ws.tip(), said, label=f"r{n}", dry_run=dry_run)


def _require_releasable(ws: Workspace, snapshot: Snapshot, model: str, tip: Revision) -> None:
    if ws.repo.shallow:
        raise Refused(
            f"{model} cannot be released from a shallow clone, which does not see what was decided before it",
            "fetch the rest first: git fetch --unshallow --tags",
        )
    problems = ws.read(tip, with_records=True).problems
    if problems:
        raise InvalidRecipe(f"{model} cannot be released: main is not valid", problems)
    latest = ws.labels(model).latest
    if latest is not None and tip.label == latest.label:
        raise Refused(f"{latest.label} stands for just this recipe already, so nothing was tagged")
    scope = scope_of(ws, model, None)
    audit = audited(scope)
    against = (*_holds(snapshot, model), *_undecided(scope, audit), *_broken(ws, model, audit))
    if against:
        raise Refused(f"{model} cannot be released", "settle these first", against)


def _holds(snapshot: Snapshot, model: str) -> Iterator[str]:
    for zone, held in sorted(holds_by_zone(snapshot, model).items()):
        for hold in held:
            yield f"{zone} is on hold: {hold.record}, {hold.reason}"


def _undecided(scope: Scope, audit: Audit) -> Iterator[str]:
    """What is on main without a decision that counts, or decided and not on main."""
    others = (finding for finding in audit.findings if finding.rule in ("approved-not-landed", *FAULTS))
    for finding in ordered([*edits_not_decided(scope, scope.verdict.open), *others]):
        yield f"{finding.id}: {finding.message}"


def _broken(ws: Workspace, model: str, audit: Audit) -> Iterator[str]:
    rules = ("minimum-broken", "margin-exceeded")
    answered = {one.finding.basis[:2] for one in audit.answered if one.finding.rule in rules}
    for one in uncovered(ws, model):
        if (one.zone, one.key) not in answered:
            yield f"{one.zone}: {one.shortfall.text}, and no re-verification covers it"


def _sharing(ws: Workspace, tag: str) -> Iterator[str]:
    """How both get to the others, or neither: where someone released at the same time, the tag is theirs."""
    remote = main_remote(ws.repo)
    if remote is not None:
        yield f"to share it: git push --atomic {remote} {ws.main_branch} {tag}"
        yield "if that is refused, take what is there (git fetch --force --tags), pull, and release again"


def _started(snapshot: Snapshot, model: str, n: int) -> Iterator[str]:
    """Parts already started, which keep what they were started with unless a hull action says otherwise."""
    for number in snapshot.numbers(model):
        state = snapshot.hull_state(number)
        parts = [p for p in state.parts if p.state in STARTED and p.revision != f"r{n}"]
        if parts and state.state not in ("delivered", "out-of-service"):
            listed = ", ".join(f"{p.part} {p.revision} ({p.state})" for p in parts)
            yield f"hull {number} keeps what it was started with: {listed}"
