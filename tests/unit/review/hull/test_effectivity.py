"""Which parts a change of a material reaches: those that use it, and those of which nothing is known."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from recipe_track.recipe.hulls import HullPart
from recipe_track.review.hull.effectivity import effectivity_of
from recipe_track.review.past.changes_on_main import ChangeOnMain
from recipe_track.workspace import Workspace, open_workspace
from tests.journeys.yard import new_yard


@pytest.fixture
def ws(tmp_path: Path) -> Iterator[Workspace]:
    yard = new_yard(tmp_path)
    with yard.repo.acting(), open_workspace(yard.root) as opened:
        yield opened


def reaches(ws: Workspace, *paths: str, **part: str) -> bool:
    """Whether a change of some files touches the deck of hull 001, or a part that differs from it in the keys."""
    (deck,) = ws.current().hull_parts("001")
    commit = ws.trail.ancestors[-1]
    landed = ChangeOnMain("C-2M9XQ4", (commit,), frozenset({commit.id}), frozenset(paths), len(paths))
    other: HullPart = replace(deck, **part)
    return effectivity_of(ws, ws.current()).touches(landed, "demo", other)


def test_a_material_reaches_the_parts_that_use_it(ws: Workspace) -> None:
    assert reaches(ws, "materials/pvc-80.toml")
    assert reaches(ws, "materials/e-glass.toml")  # a fibre in its fabrics
    assert not reaches(ws, "materials/of-another-boat.toml")


def test_a_part_of_which_nothing_is_known_counts_as_reached(ws: Workspace) -> None:
    """Better one hull too many in the list to look at than one too few."""
    assert reaches(ws, "materials/of-another-boat.toml", commit="f" * 40)
    assert reaches(ws, "materials/of-another-boat.toml", part="keel")
    assert not reaches(ws, "prices.toml", "models/demo/hull/bottom.toml", commit="f" * 40)
