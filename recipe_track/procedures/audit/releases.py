"""Releases: on main, valid, where hulls remember them, and not made over a hold."""

from collections.abc import Iterator

from recipe_track.procedures.audit.scope import Finding, Scope
from recipe_track.recipe.states import holds_by_zone


def check_moved(scope: Scope) -> Iterator[Finding]:
    """A tag stands where it stood when a hull was started to it."""
    tags = {(model, release.label): release.commit for model, release in scope.releases()}
    for number, hull in sorted(scope.snapshot.hulls.items()):
        for part in hull.part if hull.model in scope.models else ():
            now = tags.get((hull.model, part.revision))
            if now is not None and now != part.commit:
                yield Finding(
                    "release-moved", f"{hull.model}/{part.revision}",
                    f"the tag stands at {now[:10]}, but {part.part} of hull {number} was started to it at"
                    f" {part.commit[:10]}",
                    f"put the tag back (`git tag -f` at {part.commit[:10]}) or release the new content anew",
                )  # fmt: skip


def check_on_main(scope: Scope) -> Iterator[Finding]:
    """Every release is contained in main."""
    for model, release in scope.releases():
        if not release.on_main:
            yield Finding(
                "release-off-main", f"{model}/{release.label}",
                f"the released commit {release.commit[:10]} is not on {scope.ws.main_branch}",
                "merge it, or release what is on main under the next number",
            )  # fmt: skip


def check_valid(scope: Scope) -> Iterator[Finding]:
    """The files of a released revision are valid."""
    for model, release in scope.releases():
        problems = scope.ws.read(scope.ws.revision_of(release.commit, model), with_records=True).problems
        for problem in problems:
            place = f"{problem.file}:{problem.line}" if problem.line else problem.file
            yield Finding(
                "invalid-at-release", f"{model}/{release.label}", f"{place}: {problem.message}",
                "put it right on main and release again; say what hulls built to it have",
            )  # fmt: skip


def check_holds(scope: Scope) -> Iterator[Finding]:
    """No release was made while one of its zones was on hold."""
    for model, release in scope.releases():
        then = scope.ws.read(scope.ws.revision_of(release.commit, model), with_records=True).snapshot
        for zone, held in sorted(holds_by_zone(then, model).items()):
            for hold in held:
                yield Finding(
                    "hold-ignored", f"{model}/{release.label}",
                    f"it was released while {zone} was on hold ({hold.record}: {hold.reason})",
                    f"decide on {hold.record}, and release again if the recipe has to change",
                )  # fmt: skip


RULES = (check_moved, check_on_main, check_valid, check_holds)
