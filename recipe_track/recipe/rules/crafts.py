"""Rules of models and parts."""

from collections.abc import Iterator

from recipe_track.errors import Fault
from recipe_track.recipe.materials import Resin
from recipe_track.recipe.rules.names import nearest
from recipe_track.recipe.snapshot import Snapshot, model_path, part_path

BUILT_IN = ("light", "full")


def check_conditions(snapshot: Snapshot) -> Iterator[Fault]:
    """Names of conditions are not built in and not given twice; the targets' condition exists."""
    for tree in snapshot.models.values():
        path, seen = model_path(tree.id), set(BUILT_IN)
        for n, condition in enumerate(tree.model.condition):
            if condition.name in seen:
                yield Fault(
                    path, ("condition", n, "name"), f"there is a condition `{condition.name}` already"
                )
            seen.add(condition.name)
        targets = tree.model.targets
        if targets and targets.condition not in seen:
            hint = nearest(targets.condition, seen)
            yield Fault(path, ("targets", "condition"), f"unknown condition `{targets.condition}`", hint)


def check_ranges(snapshot: Snapshot) -> Iterator[Fault]:
    """A target range runs from its lower to its upper end."""
    for tree in snapshot.models.values():
        for key in ("lcg_m", "tcg_m"):
            limits = getattr(tree.model.targets, key, None)
            if limits and limits[0] > limits[1]:
                message = f"`{key}` runs from the lower to the upper end"
                yield Fault(model_path(tree.id), ("targets", key), message)


def check_parts(snapshot: Snapshot) -> Iterator[Fault]:
    """The resin of a part is a resin."""
    resins = [n for n, m in snapshot.materials.items() if isinstance(m, Resin)]
    for tree in snapshot.models.values():
        for part in tree.parts.values():
            if part.part.resin not in resins:
                message = f"unknown resin `{part.part.resin}`"
                path = part_path(tree.id, part.id)
                yield Fault(path, ("resin",), message, nearest(part.part.resin, resins))


RULES = (check_conditions, check_ranges, check_parts)
