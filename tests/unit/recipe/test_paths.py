"""Where files lie: from what they are to their path and back."""

from datetime import date

import pytest

from recipe_track.recipe import paths

DAY = date(2026, 3, 1)


@pytest.mark.parametrize(
    ("path", "file"),
    [
        (paths.SETTINGS_PATH, paths.RecipeFile("settings", "", None)),
        (paths.PRICES_PATH, paths.RecipeFile("prices", "", None)),
        (paths.material_path("pvc-80"), paths.RecipeFile("material", "pvc-80", None)),
        (paths.model_path("pb98"), paths.RecipeFile("model", "pb98", "pb98")),
        (paths.part_path("pb98", "deck"), paths.RecipeFile("part", "deck", "pb98")),
        (paths.zone_path("pb98", "deck/side"), paths.RecipeFile("zone", "deck/side", "pb98")),
        (paths.hull_path("14.b"), paths.RecipeFile("hull", "14.b", None)),
        (paths.record_path("T-7K3QX2", DAY), paths.RecipeFile("record", "T-7K3QX2", None)),
        ("models/pb98/deck/notes.md", None),
    ],
)
def test_a_path_says_what_lies_there(path: str, file: paths.RecipeFile | None) -> None:
    assert paths.file_at(path) == file


def test_a_zone_is_asked_for_by_its_model() -> None:
    assert paths.zone_at("models/pb98/deck/side.toml", "pb98") == "deck/side"
    assert paths.zone_at("models/pb98/deck/side.toml", "pb9") is None
    assert paths.zone_at("models/pb98/deck/part.toml", "pb98") is None


def test_a_record_in_the_wrong_folder_still_is_that_record() -> None:
    assert paths.record_at("records/2025/old/T-7K3QX2.toml") == "T-7K3QX2"
    assert paths.record_at("records/2026/T-7K3QX2.toml.sig") is None
    assert paths.record_at("photos/T-7K3QX2/T-7K3QX2.toml") is None


def test_any_file_below_a_model_is_of_that_model() -> None:
    assert paths.model_at("models/pb98/deck/notes.md") == "pb98"
    assert paths.model_at("models/README.md") is None
    assert paths.model_at("materials/pb98/x.toml") is None
