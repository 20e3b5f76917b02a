"""Where every file of a recipe repository lies: from what it is to its path, and from a path back to it."""

import re
from dataclasses import dataclass
from datetime import date
from functools import lru_cache

from recipe_track.recipe.fields import HULL_PATTERN, ID_PATTERN, RECORD_ALPHABET
from recipe_track.recipe.records import LETTERS

SETTINGS_PATH = "recipe-track.toml"
PRICES_PATH = "prices.toml"
ID = ID_PATTERN.strip("^$")
HULL = HULL_PATTERN.strip("^$")
RECORD_ID = rf"[{''.join(LETTERS.values())}]-[{RECORD_ALPHABET}]{{6}}"
_PART = rf"models/(?P<model>{ID})/(?!(?:part|model)/)"
SHAPES = {
    "settings": re.compile(re.escape(SETTINGS_PATH)),
    "prices": re.compile(re.escape(PRICES_PATH)),
    "material": re.compile(rf"materials/(?P<id>{ID})\.toml"),
    "model": re.compile(rf"models/(?P<id>(?P<model>{ID}))/model\.toml"),
    "part": re.compile(rf"{_PART}(?P<id>{ID})/part\.toml"),
    "zone": re.compile(rf"{_PART}(?P<id>{ID}/(?!(?:part|model)\.){ID})\.toml"),
    "hull": re.compile(rf"hulls/(?P<id>{HULL})\.toml"),
    "record": re.compile(rf"records/[0-9]{{4}}/(?P<id>{RECORD_ID})\.toml"),
}


def material_path(material: str) -> str:
    """Where a material is written."""
    return f"materials/{material}.toml"


def model_path(model: str) -> str:
    """Where a model is written."""
    return f"models/{model}/model.toml"


def part_path(model: str, part: str) -> str:
    """Where a part is written."""
    return f"models/{model}/{part}/part.toml"


def zone_path(model: str, zone: str) -> str:
    """Where a zone, named `part/zone`, is written."""
    return f"models/{model}/{zone}.toml"


def part_of(zone: str) -> str:
    """The part that a zone, named `part/zone`, belongs to."""
    return zone.split("/", 1)[0]


def hull_path(hull: str) -> str:
    """Where a hull is written."""
    return f"hulls/{hull}.toml"


def record_path(record_id: str, on: date) -> str:
    """Where a record is written: a folder per year of `on`."""
    return f"records/{on.year}/{record_id}.toml"


@dataclass(frozen=True, slots=True)
class RecipeFile:
    """What lies at a path: its kind, its id (of a zone `part/zone`), and the model it belongs to, if any."""

    kind: str
    id: str
    model: str | None


@lru_cache(maxsize=50_000)  # revisions name the same files over and over
def file_at(path: str) -> RecipeFile | None:
    """The recipe file that lies at a path (relative, with /), None for any other file."""
    for kind, shape in SHAPES.items():
        if match := shape.fullmatch(path):
            named = match.groupdict()
            return RecipeFile(kind, named.get("id", ""), named.get("model"))
    return None


def kind_of_path(path: str) -> str | None:
    """The kind of recipe file that lies at a path, None for any other file."""
    file = file_at(path)
    return file.kind if file else None


def zone_at(path: str, model: str) -> str | None:
    """The name of the zone of a model that lies at a path, None for any other file."""
    file = file_at(path)
    return file.id if file and file.kind == "zone" and file.model == model else None


def record_at(path: str) -> str | None:
    """The id of the record that lies at a path; in the wrong folder of `records/` it still is that record."""
    if not path.startswith("records/") or not path.endswith(".toml"):
        return None
    return path.rsplit("/", 1)[-1].removesuffix(".toml")


def model_at(path: str) -> str | None:
    """The model whose folder a path lies in, whatever file it is."""
    folders = path.split("/")
    return folders[1] if folders[0] == "models" and len(folders) > 2 else None
