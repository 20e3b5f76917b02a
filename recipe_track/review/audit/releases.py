"""Releases: on main, valid, not made over a hold, and standing where hulls were started to them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

from recipe_track.recipe.people import same_person
from recipe_track.recipe.records import Step
from recipe_track.recipe.states import holds_by_zone
from recipe_track.review.audit.finding import Finding, found_in

if TYPE_CHECKING:
    from recipe_track.review.audit.scope import Scope


def check_steps(scope: Scope) -> Iterator[Finding]:
    """A tag stands where it stood when the first step named it; a step names the commit of its tag.

    A tag is told once, by the first step that names it; what a shallow clone cannot see is not missed.
    """
    tags = {(model, release.label): release.commit for model, release in scope.releases()}
    first: dict[tuple[str, str], str] = {}
    astray = {tag.name for tag in scope.refs.astray}
    for name, step in _steps(scope):
        model = scope.snapshot.hulls[scope.snapshot.records.number_of(step.hull)].model
        key = (model, str(step.revision))
        is_first, stood = key not in first, first.setdefault(key, str(step.commit))
        origin, now = scope.trail.origin_of[name], tags.get(key)
        place = found_in(origin.commit)
        if step.commit != stood:
            yield Finding(
                "step-not-at-release", name,
                f"it says {step.revision} at {str(step.commit)[:10]}, which stood at {stood[:10]}",
                f"record the step as it was: `record correct {name}`",
                origin.path, **place, basis=(str(step.commit), stood),
            )  # fmt: skip
        elif is_first and now is None and "/".join(key) not in astray and not scope.is_unseen(stood):
            yield Finding(
                "release-deleted", "/".join(key),
                f"{name} (hull {step.hull}) names it, and no such tag is here; it stood at {stood[:10]}",
                "fetch the tags (`git fetch --tags`); if there is none, tag its commit again",
                origin.path, **place, basis=(stood,),
            )  # fmt: skip
        elif is_first and now is not None and stood != now:
            yield Finding(
                "release-moved", "/".join(key),
                f"the tag stands at {now[:10]}, but hull {step.hull} was started to it at {stood[:10]}",
                f"put it back: `git tag -f -a {'/'.join(key)} {stood[:10]} -m '{model} {key[1]}, put back'`"
                " (-s where releases are signed), and push it with --force",
                origin.path, **place, basis=(stood, now),
            )  # fmt: skip


def check_tags(scope: Scope) -> Iterator[Finding]:
    """A release tag points at a commit, and says who released it: one put in its place does not."""
    for tag in scope.refs.astray:
        if scope.looks_at(tag.name.split("/")[0]):
            rule = "release-moved" if tag.is_commit else "release-no-commit"
            yield Finding(
                rule, tag.name, f"the tag is no release: it is {tag.what}",
                "take the tag of who released it (`git fetch --force --tags`), or put it back", None,
                basis=(tag.object,),
            )  # fmt: skip


def _steps(scope: Scope) -> Iterator[tuple[str, Step]]:
    """Steps that name a release, oldest first as they came to main."""
    steps = dict(scope.snapshot.records.of_kind(Step))
    for name in scope.trail.origin_of:
        step = steps.get(name)
        if step is not None and step.revision and step.commit and scope.of_model(step.hull):
            yield name, step


def check_on_main(scope: Scope) -> Iterator[Finding]:
    """Every release is contained in main, by its commit or by content equal to it."""
    for _, release in scope.releases():
        if not release.on_main and not scope.is_unseen(release.commit):
            yield Finding(
                "release-off-main", release.tag,
                f"the released commit {release.commit[:10]} is not on {scope.main_branch}",
                "merge it, or release what is on main under the next number",
                None, release.commit, f"{release.tagger} <{release.tagger_mail}>", release.date,
            )  # fmt: skip


def check_valid(scope: Scope) -> Iterator[Finding]:
    """The files of a released revision are valid."""
    for _, release in scope.releases():
        for problem in scope.released[release.commit].problems:
            place = f"{problem.file}:{problem.line}" if problem.line else problem.file
            yield Finding(
                "invalid-at-release", release.tag, f"{place}: {problem.message}",
                "put it right on main and release again; say what hulls built to it have",
                problem.file, release.commit, release.tagger, release.date, (problem.file, problem.message),
            )  # fmt: skip


def check_holds(scope: Scope) -> Iterator[Finding]:
    """No release was made while one of its zones was on hold."""
    for model, release in scope.releases():
        then = scope.released[release.commit].snapshot
        # What has no effect, an unsigned decision say, lifted no hold then either.
        then = replace(then, records=then.records.without_effect(scope.trail.void))
        for zone, held in sorted(holds_by_zone(then, model).items()):
            for hold in held:
                yield Finding(
                    "hold-ignored", release.tag,
                    f"it was released while {zone} was on hold ({hold.record}: {hold.reason})",
                    f"decide on {hold.record}, and release again if the recipe has to change",
                    None, release.commit, release.tagger, release.date, (zone, hold.record),
                )  # fmt: skip


def check_signatures(scope: Scope) -> Iterator[Finding]:
    """Where settings ask for signatures, whoever releases has signed the tag."""
    for _, release in scope.releases():
        signature = scope.signatures.get(release.tag)
        own = signature is not None and same_person(signature.signer, release.tagger_mail)
        if signature is None or (signature.verdict == "good" and own):
            continue
        rule = "signature-missing" if signature.verdict == "none" else "signature-invalid"
        what = "is not signed" if rule == "signature-missing" else "has a signature that does not prove that"
        yield Finding(
            rule, release.tag, f"{release.tagger} is to have released it, but the tag {what}",
            f"have it signed with a key of approval.keys: git tag -s -f {release.tag} {release.commit[:10]}",
            None, release.commit, f"{release.tagger} <{release.tagger_mail}>", release.date,
            (release.tag_id,),
        )  # fmt: skip


RULES = (check_tags, check_steps, check_on_main, check_valid, check_holds, check_signatures)
