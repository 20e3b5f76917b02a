"""Which path holds which kind of file, and what is said of a path that fits none."""

import pytest

from recipe_track.recipe.paths import kind_of_path
from recipe_track.textfiles.meaning.paths import misplaced

KINDS = [
    ("recipe-track.toml", "settings"),
    ("prices.toml", "prices"),
    ("materials/biax-800.toml", "material"),
    ("models/pb98/model.toml", "model"),
    ("models/part/hull/part.toml", "part"),
    ("models/pb98/hull/part.toml", "part"),
    ("models/pb98/deck/deck-support.toml", "zone"),
    ("hulls/014.toml", "hull"),
    ("hulls/PB.98_a-1.toml", "hull"),
    ("records/2026/T-7K3QX2.toml", "record"),
]
OTHERS = [
    "README.md",
    "pyproject.toml",
    ".schemas/zone.schema.json",
    "models/pb98/README.md",
    "photos/a.jpg",
    "",
]
MISPLACED = [
    ("Recipe-Track.toml", "this file is named recipe-track.toml"),
    ("Materials/x.toml", "the folder is named materials"),
    ("materials/x.TOML", "`x.TOML` does not end in .toml"),
    ("materials/Biax 800.toml", "`Biax 800` is not an id"),
    ("materials/-x.toml", "`-x` is not an id"),
    (f"materials/{'x' * 65}.toml", f"`{'x' * 65}` is not an id"),
    ("materials/old/x.toml", "no recipe file of materials lies here"),
    ("models/pb98/deck.toml", "no recipe file of models lies here"),
    ("models/pb98/part.toml", "no recipe file of models lies here"),
    ("models/pb98/deck/fore/x.toml", "no recipe file of models lies here"),
    ("models/PB98/model.toml", "`PB98` is not an id"),
    ("models/pb98/Deck/part.toml", "`Deck` is not an id"),
    ("models/pb98/deck/Side.toml", "`Side` is not an id"),
    ("models/pb98/deck/model.toml", "no part or zone is called `model`"),
    ("models/pb98/part/part.toml", "no part or zone is called `part`"),
    ("models/pb98/model/side.toml", "no part or zone is called `model`"),
    ("hulls/2026/014.toml", "no recipe file of hulls lies here"),
    ("hulls/-1.toml", "`-1` is not a hull number"),
    ("records/T-7K3QX2.toml", "no recipe file of records lies here"),
    ("records/26/T-7K3QX2.toml", "`26` is not a year"),
    ("records/٢٠٢٦/T-7K3QX2.toml", "`٢٠٢٦` is not a year"),
    ("records/2026/T-7K3QXI.toml", "`T-7K3QXI` is not a record id"),
    ("records/2026/X-7K3QX2.toml", "`X-7K3QX2` is not a record id"),
    ("records/2026/t-7k3qx2.toml", "`t-7k3qx2` is not a record id"),
]


@pytest.mark.parametrize(("path", "kind"), KINDS)
def test_the_kind_follows_from_the_path(path: str, kind: str) -> None:
    assert kind_of_path(path) == kind
    assert misplaced(path) is None


@pytest.mark.parametrize("path", OTHERS)
def test_other_files_are_left_alone(path: str) -> None:
    assert kind_of_path(path) is None
    assert misplaced(path) is None


@pytest.mark.parametrize(("path", "message"), MISPLACED)
def test_a_path_that_fits_no_layout_is_told(path: str, message: str) -> None:
    assert kind_of_path(path) is None
    problem = misplaced(path)
    assert problem is not None
    assert (problem.message, problem.line) == (message, None)
    assert problem.hint
