"""JSON Schemas for editors, one per kind of file; run as a module with a folder, it writes them there."""

import json
import sys
from pathlib import Path
from typing import Any

from pydantic import BaseModel, TypeAdapter

from recipe_track.recipe.materials import Material
from recipe_track.recipe.paths import kind_of_path
from recipe_track.recipe.quantities import limited, unit_of_key
from recipe_track.recipe.records import Record
from recipe_track.textfiles.meaning.paths import SINGLE

DIALECT = "https://json-schema.org/draft/2020-12/schema"
FOLDER = ".schemas"
TITLES = {
    "settings": "recipe-track.toml: settings of a recipe repository",
    "material": "materials/<id>.toml: one material",
    "prices": "prices.toml: prices, labour rate, currency",
    "model": "models/<model>/model.toml: the craft",
    "part": "models/<model>/<part>/part.toml: process, resin, wastage",
    "zone": "models/<model>/<part>/<zone>.toml: one zone",
    "hull": "hulls/<hull>.toml: a hull and what its parts are built to",
    "record": "records/<year>/<id>.toml: one record, written once",
}
UNIT_WORDS = {"°": "degrees", "¤/h": "currency per hour"}
NOISE = ("title", "discriminator", "default")


def schema(kind: str) -> dict[str, Any]:
    """The schema of one kind of file, in plain words of the dialect: no titles inside, no nulls."""
    return {"$schema": DIALECT, "title": TITLES[kind], **_plain(_raw(kind))}


def schema_files() -> dict[str, str]:
    """Every schema file by its name."""
    return {
        f"{kind}.schema.json": json.dumps(schema(kind), ensure_ascii=False, indent=2) + "\n"
        for kind in TITLES
    }


def schema_line(path: str) -> str:
    """The first line of a new recipe file, which tells an editor the schema it must fit."""
    return f"#:schema {'../' * path.count('/')}{FOLDER}/{kind_of_path(path)}.schema.json"


def _raw(kind: str) -> dict[str, Any]:
    model: type[BaseModel] | None = SINGLE.get(kind)
    if model is not None:
        return model.model_json_schema()
    union: Any = Material if kind == "material" else Record
    return TypeAdapter[Any](union).json_schema()


def _plain(node: Any) -> Any:
    """A part of a schema with noise left out, and `or null` dropped (TOML has no null)."""
    if isinstance(node, list):
        return [_plain(one) for one in node]
    if not isinstance(node, dict):
        return node
    if "anyOf" in node:
        given = [one for one in node["anyOf"] if one != {"type": "null"}]
        rest = {name: value for name, value in node.items() if name != "anyOf"}
        node = {**rest, "anyOf": given} if len(given) > 1 else {**given[0], **rest}
    kept = {
        name: _named(value) if name in ("properties", "$defs") else _plain(value)
        for name, value in node.items()
        if name not in NOISE
    }
    if "patternProperties" in kept:
        kept["additionalProperties"] = False
    return {"type": "boolean", **kept} if kept.get("const") is True else kept


def _named(nodes: dict[str, Any]) -> dict[str, Any]:
    """Schemas by the names of keys or of what is referred to; a name such as `title` is no noise here."""
    return {name: _described(name, _plain(one)) for name, one in nodes.items()}


def _described(name: str, node: dict[str, Any]) -> dict[str, Any]:
    """A property with its unit in words, where its name ends in one."""
    unit = unit_of_key(limited(name)[0])
    words = UNIT_WORDS.get(unit, unit.replace("¤/", "currency per "))
    if name.endswith("_fraction"):
        words = "a fraction"
    return {**node, "description": words} if words and "description" not in node else node


def main(folder: str) -> None:
    """Write every schema into a folder."""
    Path(folder).mkdir(parents=True, exist_ok=True)
    for name, text in schema_files().items():
        (Path(folder) / name).write_bytes(text.encode())


if __name__ == "__main__":
    main(sys.argv[1])
