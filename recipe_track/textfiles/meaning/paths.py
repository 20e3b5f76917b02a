"""Which kind of file lies at which path, and which model its contents must fit."""

import re
from difflib import get_close_matches
from typing import Any, get_args

from pydantic import BaseModel, ValidationError

from recipe_track.errors import Fault, Problem
from recipe_track.recipe.craft import KNOWN_FORMAT, Hull, Model, Part, Prices, Settings
from recipe_track.recipe.fields import RECORD_ALPHABET
from recipe_track.recipe.layup import Zone
from recipe_track.recipe.materials import Material
from recipe_track.recipe.paths import ID, PRICES_PATH, SETTINGS_PATH, kind_of_path
from recipe_track.recipe.records import LETTERS, Record
from recipe_track.textfiles.meaning.naming import alternatives, plain, shown

SINGLE: dict[str, type[BaseModel]] = {
    "settings": Settings,
    "prices": Prices,
    "model": Model,
    "part": Part,
    "zone": Zone,
    "hull": Hull,
}


def _by_kind(union: Any) -> dict[str, type[BaseModel]]:
    members = get_args(get_args(union)[0])
    return {get_args(member.model_fields["kind"].annotation)[0]: member for member in members}


MATERIALS, RECORDS = _by_kind(Material), _by_kind(Record)


def newer_format(path: str, data: dict[str, Any]) -> Fault | None:
    """The fault of settings written in a format newer than the one known here."""
    number = data.get("format")
    if isinstance(number, bool) or not isinstance(number, int) or number <= KNOWN_FORMAT:
        return None
    message = f"this repository is written in format {shown(number)}, newer than format {KNOWN_FORMAT}"
    return Fault(path, ("format",), "newer-format", message, "update recipe-track to read it")


def validate(kind: str, path: str, data: dict[str, Any]) -> tuple[BaseModel | None, list[Fault]]:
    """The model of a file's data, or None and every fault."""
    models, faults = _candidates(kind, path, data)
    if len(models) == 1 and not faults:
        valid, faults = _fit(models[0], path, data)
        faults += _against_path(path, valid) if kind == "record" and valid is not None else []
        return (None if faults else valid), faults
    at_fault = {fault.key for fault in faults}
    each = [_fit(model, path, {**data, "kind": _literal(model)})[1] for model in models]
    common = set.intersection(*({(fault.key, fault.code) for fault in one} for one in each))
    agreed = [fault for fault in each[0] if (fault.key, fault.code) in common]
    return None, faults + [fault for fault in agreed if fault.key not in at_fault]


def model_for(kind: str, path: str, data: dict[str, Any]) -> type[BaseModel] | None:
    """The model that a file must fit, or, where its `kind` is wrong, the one most likely meant."""
    return next(iter(_candidates(kind, path, data)[0]), None)


def _fit(model: type[BaseModel], path: str, data: dict[str, Any]) -> tuple[BaseModel | None, list[Fault]]:
    try:
        return model.model_validate(data), []
    except ValidationError as error:
        from recipe_track.textfiles.meaning.refusals import faults

        return None, faults(path, error.errors(include_url=False), data, model)


def _literal(model: type[BaseModel]) -> str:
    return str(get_args(model.model_fields["kind"].annotation)[0])


def _candidates(kind: str, path: str, data: dict[str, Any]) -> tuple[list[type[BaseModel]], list[Fault]]:
    """The model a file must fit; where its `kind` is wrong, the fault and the models most likely meant."""
    if kind in SINGLE:
        return [SINGLE[kind]], []
    models = MATERIALS if kind == "material" else RECORDS
    letter = path.rsplit("/", 1)[-1][0] if kind == "record" else ""
    by_letter = [name for name, one in LETTERS.items() if one == letter]
    given = data.get("kind")
    if isinstance(given, str) and given in models and (not by_letter or given in by_letter):
        return [models[given]], []
    if isinstance(given, str) and given in models:
        return _likely({one: models[one] for one in (given, *by_letter)}, data), [
            _letter_fault(path, given, by_letter[0])
        ]
    allowed = by_letter or list(models)
    near = get_close_matches(given, allowed, n=1) if isinstance(given, str) else []
    guesses = [models[one] for one in by_letter or near] or _likely(models, data)
    return guesses, [_kind_fault(path, data, allowed, near)]


def _kind_fault(path: str, data: dict[str, Any], allowed: list[str], near: list[str]) -> Fault:
    if "kind" not in data:
        message, hint = "the key `kind` is missing", f"it is {alternatives(allowed)}"
        return Fault(path, ("kind",), "missing-key", message, hint)
    message = f"`kind` must be {alternatives(allowed)}, not {shown(data['kind'])}"
    return Fault(path, ("kind",), "not-one-of", message, f"did you mean {near[0]}?" if near else "")


def _likely(models: dict[str, type[BaseModel]], data: dict[str, Any]) -> list[type[BaseModel]]:
    """The kinds that share most keys with the file."""
    shared = {name: len(data.keys() & model.model_fields.keys()) for name, model in models.items()}
    return [model for name, model in models.items() if shared[name] == max(shared.values())]


def _letter_fault(path: str, given: str, by_letter: str) -> Fault:
    message = f"`kind` is {given}, but the file is named as a {by_letter}"
    return Fault(
        path, ("kind",), "kind-against-id", message, f"the id of a {given} begins with {LETTERS[given]}-"
    )


def _against_path(path: str, record: Any) -> list[Fault]:
    """A record lies in the folder of its year."""
    folder = path.split("/")[-2]
    if f"{record.on.year:04d}" == folder:
        return []
    message = f"`on` is in {record.on.year}, but the file lies in records/{folder}"
    hint = f"move it to records/{record.on.year:04d}, or correct the date"
    return [Fault(path, ("on",), "year-against-folder", message, hint)]


MISPLACED = "misplaced-file"
LAYOUT = {
    "materials": "materials/<id>.toml",
    "models": "models/<model>/model.toml, and in models/<model>/<part>/ part.toml and <zone>.toml",
    "hulls": "hulls/<hull>.toml",
    "records": "records/<year>/<id>.toml",
}
ID_HINT = "an id is made of a–z, 0–9 and -, as biax-800"
RECORD_HINT = f"a record id is {', '.join(LETTERS.values())} and - with six of {RECORD_ALPHABET}"


def misplaced(path: str) -> Problem | None:
    """What is wrong with a path that looks like a recipe file but is none."""
    if kind_of_path(path) is not None or not path.lower().endswith(".toml"):
        return None
    if path.lower() in (SETTINGS_PATH, PRICES_PATH):
        return Problem(path, None, None, MISPLACED, f"this file is named {path.lower()}", "in lower case")
    folders = path.split("/")
    top = folders[0].lower()
    if top not in LAYOUT or len(folders) == 1:
        return None
    if folders[0] != top:
        return Problem(path, None, None, MISPLACED, f"the folder is named {top}", "in lower case")
    message, hint = _why(top, folders[1:-1], folders[-1])
    return Problem(path, None, None, MISPLACED, message, hint)


def _why(top: str, folders: list[str], file: str) -> tuple[str, str]:
    if not file.endswith(".toml"):
        return f"`{plain(file, 100)}` does not end in .toml", "in lower case"
    if not _deep_enough(top, folders, file):
        return f"no recipe file of {top} lies here", f"the layout is {LAYOUT[top]}"
    name = file.removesuffix(".toml")
    if top == "records":
        return _why_record(folders[0], name)
    if top == "hulls":
        return (
            f"`{plain(name, 100)}` is not a hull number",
            "letters, digits, . _ and -, at most 32, beginning with a letter or digit",
        )
    names = [*folders, name] if not (top == "models" and name in ("model", "part")) else folders
    bad = next((one for one in names if not re.fullmatch(ID, one)), None)
    if bad is not None:
        return f"`{plain(bad, 100)}` is not an id", ID_HINT
    return f"no part or zone is called `{_reserved([*folders, name])}`", "choose another id"


def _deep_enough(top: str, folders: list[str], file: str) -> bool:
    if top == "models":
        return len(folders) == 2 or (len(folders) == 1 and file == "model.toml")
    return len(folders) == (1 if top == "records" else 0)


def _reserved(names: list[str]) -> str:
    return next(name for name in names[1:] if name in ("part", "model"))


def _why_record(year: str, name: str) -> tuple[str, str]:
    if not re.fullmatch(r"[0-9]{4}", year):
        return (
            f"`{plain(year, 100)}` is not a year",
            "records lie in a folder per year of `on`, as records/2026",
        )
    return f"`{plain(name, 100)}` is not a record id", RECORD_HINT
