"""Which model a file must fit, and what its contents must say of its name."""

from difflib import get_close_matches
from typing import Any, get_args

from pydantic import BaseModel, ValidationError

from recipe_track.errors import Fault
from recipe_track.recipe.craft import KNOWN_FORMAT, Hull, Model, Part, Prices, Settings
from recipe_track.recipe.layup import Zone
from recipe_track.recipe.materials import Material
from recipe_track.recipe.records import LETTERS, Record
from recipe_track.textfiles.naming import alternatives, shown
from recipe_track.textfiles.words import faults

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
    found = data.get("format")
    if isinstance(found, bool) or not isinstance(found, int) or found <= KNOWN_FORMAT:
        return None
    message = f"this repository is written in format {shown(found)}, newer than format {KNOWN_FORMAT}"
    return Fault(path, ("format",), message, "update recipe-track to read it")


def validate(kind: str, path: str, data: dict[str, Any]) -> tuple[BaseModel | None, list[Fault]]:
    """The model of a file's data, or None and every fault."""
    model, found = _model(kind, path, data)
    if model is None:
        return None, found
    told = {fault.key for fault in found}
    try:
        valid = model.model_validate({**data, "kind": _literal(model)} if found else data)
        found += _against_path(path, valid) if kind == "record" else []
        return (None if found else valid), found
    except ValidationError as error:
        errors = error.errors(include_url=False)
        return None, found + [one for one in faults(path, errors, data, model) if one.key not in told]


def _literal(model: type[BaseModel]) -> str:
    return str(get_args(model.model_fields["kind"].annotation)[0])


def model_for(kind: str, path: str, data: dict[str, Any]) -> type[BaseModel] | None:
    """The model that a file must fit, or, where its `kind` is wrong, the one most likely meant."""
    return _model(kind, path, data)[0]


def _model(kind: str, path: str, data: dict[str, Any]) -> tuple[type[BaseModel] | None, list[Fault]]:
    """The model a file must fit; where its `kind` is wrong, the fault and the kind most likely meant."""
    if kind in SINGLE:
        return SINGLE[kind], []
    kinds = MATERIALS if kind == "material" else RECORDS
    letter = path.rsplit("/", 1)[-1][0] if kind == "record" else ""
    expected = next((name for name, one in LETTERS.items() if one == letter), None)
    found = data.get("kind")
    if isinstance(found, str) and found in kinds:
        return kinds[found], _letter_fault(path, found, expected)
    words = [expected] if expected else list(kinds)
    near = get_close_matches(found, words, n=1) if isinstance(found, str) else []
    hint = f"did you mean {near[0]}?" if near else ""
    if "kind" in data:
        message = f"`kind` must be {alternatives(words)}, not {shown(found)}"
        fault = Fault(path, ("kind",), message, hint)
    else:
        fault = Fault(path, ("kind",), "the key `kind` is missing", f"it is {alternatives(words)}")
    guess = expected or (near[0] if near else _likely(kinds, data))
    return (kinds[guess] if guess else None), [fault]


def _likely(kinds: dict[str, type[BaseModel]], data: dict[str, Any]) -> str | None:
    """The kind that shares most keys with the file, if one stands out."""
    shared = sorted((len(data.keys() & model.model_fields.keys()), name) for name, model in kinds.items())
    return shared[-1][1] if shared[-1][0] > shared[-2][0] else None


def _letter_fault(path: str, found: str, expected: str | None) -> list[Fault]:
    if expected in (None, found):
        return []
    hint = f"the id of a {found} begins with {LETTERS[found]}-"
    return [Fault(path, ("kind",), f"`kind` is {found}, but the file is named as a {expected}", hint)]


def _against_path(path: str, record: Any) -> list[Fault]:
    """A record lies in the folder of its year."""
    folder = path.split("/")[-2]
    if f"{record.on.year:04d}" == folder:
        return []
    message = f"`on` is in {record.on.year}, but the file lies in records/{folder}"
    return [Fault(path, ("on",), message, f"move it to records/{record.on.year:04d}, or correct the date")]
