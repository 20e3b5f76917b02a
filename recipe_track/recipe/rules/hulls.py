"""Rules of hulls and their steps: what a hull was called before, and which step can follow which."""

from collections.abc import Iterator

from recipe_track.errors import Fault
from recipe_track.recipe.hulls import HULL_STATES, PART_STATES
from recipe_track.recipe.paths import hull_path, part_of, record_path
from recipe_track.recipe.records import Change, Step
from recipe_track.recipe.rules.names import known_only
from recipe_track.recipe.snapshot import Snapshot

PART_KEYS = ("revision", "commit", "done", "from_hull")  # what only a part can have
TYPED = {"from_hull": "from"}  # where the key in the file is no name in Python


def check_hulls(snapshot: Snapshot) -> Iterator[Fault]:
    """A hull is of a known model, and is not told from another by case alone."""
    numbers: dict[str, str] = {}
    for number, hull in snapshot.hulls.items():
        path = hull_path(number)
        other = numbers.setdefault(number.casefold(), number)
        if other != number:
            message, hint = f"hull {other} is there already", "not every machine tells A1.toml from a1.toml"
            yield Fault(path, (), "repeated-hull", message, hint)
        yield from known_only(path, ("model",), "model", hull.model, snapshot.models)


def check_renumbered(snapshot: Snapshot) -> Iterator[Fault]:
    """A hull was one other hull of its model before, and no two hulls were the same one."""
    later: dict[str, str] = {}
    for number, hull in snapshot.hulls.items():
        if hull.was is None:
            continue
        path, before = hull_path(number), snapshot.hulls.get(hull.was)
        yield from known_only(path, ("was",), "hull", hull.was, snapshot.hulls)
        if before is not None and before.model != hull.model:
            message = f"hull {hull.was} is of {before.model}"
            yield Fault(path, ("was",), "other-model", message, "the model stays")
        if (other := later.setdefault(hull.was, number)) != number:
            yield Fault(path, ("was",), "renumbered-twice", f"hull {hull.was} is hull {other} now")
        if _returns(snapshot, number):
            yield Fault(path, ("was",), "renumbered-in-a-ring", f"hull {number} leads back to itself")


def _returns(snapshot: Snapshot, number: str) -> bool:
    """Whether going back through the numbers of a hull comes to where it began."""
    seen: set[str] = set()
    at: str | None = number
    while at is not None and at not in seen:
        seen.add(at)
        at = hull.was if (hull := snapshot.hulls.get(at)) else None
    return at == number


def check_steps(snapshot: Snapshot) -> Iterator[Fault]:
    """A step is of a hull and fits it, and the one before it is a step of the same part."""
    for step_id, step in snapshot.records.all_of(Step).items():
        if not snapshot.records.is_corrected(step_id):
            yield from faults_of_step(snapshot, step_id, step)


def faults_of_step(snapshot: Snapshot, step_id: str, step: Step) -> Iterator[Fault]:
    """Those of one step."""
    path = record_path(step_id, step.on)
    yield from known_only(path, ("hull",), "hull", step.hull, snapshot.hulls)
    yield from _part_faults(snapshot, path, step)
    yield from _release_faults(path, step)
    yield from _after_faults(snapshot, path, step_id, step)
    for n, change in enumerate(step.done):
        yield from known_only(path, ("done", n), "change", change, snapshot.records.all_of(Change))
    if step.from_hull is not None:
        yield from _from_faults(snapshot, path, step)


def _part_faults(snapshot: Snapshot, path: str, step: Step) -> Iterator[Fault]:
    """A part reaches states of a part, the whole hull those of a hull; it alone is built to no release."""
    states = HULL_STATES if step.part is None else PART_STATES
    if step.state not in states:
        message = f"{'the whole hull' if step.part is None else 'a part'} is never {step.state}"
        yield Fault(path, ("state",), "unfit-state", message, f"one of {', '.join(states)}")
    if step.part is None:
        for key in PART_KEYS:
            if getattr(step, key):
                typed = TYPED.get(key, key)
                message, hint = f"`{typed}` belongs to a part", "say which: `part`"
                yield Fault(path, (typed,), "unfit-key", message, hint, at="key")
        return
    hull = snapshot.hulls.get(step.hull)
    if hull is not None and (tree := snapshot.models.get(hull.model)) is not None:
        parts = {part_of(zone) for zone in snapshot.zone_names(hull.model)} | set(tree.parts)
        yield from known_only(path, ("part",), "part", step.part, parts)


def _release_faults(path: str, step: Step) -> Iterator[Fault]:
    """A release is named with its commit; the first step of a part names it."""
    if (step.revision is None) != (step.commit is None):
        given, missing = ("revision", "commit") if step.commit is None else ("commit", "revision")
        yield Fault(path, (given,), "release-without-commit", f"`{given}` goes with `{missing}`", at="key")
    elif step.part is not None and step.after is None and step.revision is None:
        message, hint = "the first step of a part names its release", "or it names the step before: `after`"
        yield Fault(path, ("revision",), "missing-key", message, hint)


def _after_faults(snapshot: Snapshot, path: str, step_id: str, step: Step) -> Iterator[Fault]:
    """The step before is of the same part, on the same hull or on the one the part came from."""
    if step.after is None:
        return
    steps = snapshot.records.all_of(Step)
    yield from known_only(path, ("after",), "step", step.after, steps)
    before = steps.get(step.after)
    if step.after == step_id:
        yield Fault(path, ("after",), "after-itself", "a step does not come after itself")
    elif before is not None:
        number = snapshot.records.number_of
        line = number(step.from_hull or step.hull)
        lines = {number(hull) for hull in (before.hull, before.from_hull) if hull}
        if before.part != step.part or line not in lines:
            what = f"{before.part} of hull {before.hull}" if before.part else f"the whole hull {before.hull}"
            yield Fault(path, ("after",), "after-another-part", f"{step.after} is a step of {what}")


def _from_faults(snapshot: Snapshot, path: str, step: Step) -> Iterator[Fault]:
    yield from known_only(path, ("from",), "hull", str(step.from_hull), snapshot.hulls)
    number = snapshot.records.number_of
    if number(str(step.from_hull)) == number(step.hull):
        yield Fault(path, ("from",), "from-itself", "a part does not come from its own hull")


RULES = (check_hulls, check_renumbered, check_steps)
