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
    models, found = _candidates(kind, path, data)
    if len(models) == 1 and not found:
        valid, found = _fit(models[0], path, data)
        found += _against_path(path, valid) if kind == "record" and valid is not None else []
        return (None if found else valid), found
    told = {fault.key for fault in found}
    each = [_fit(model, path, {**data, "kind": _literal(model)})[1] for model in models]
    common = set.intersection(*({(fault.key, fault.message) for fault in one} for one in each))
    agreed = [fault for fault in each[0] if (fault.key, fault.message) in common]
    return None, found + [fault for fault in agreed if fault.key not in told]


def model_for(kind: str, path: str, data: dict[str, Any]) -> type[BaseModel] | None:
    """The model that a file must fit, or, where its `kind` is wrong, the one most likely meant."""
    return next(iter(_candidates(kind, path, data)[0]), None)


def _fit(model: type[BaseModel], path: str, data: dict[str, Any]) -> tuple[BaseModel | None, list[Fault]]:
    try:
        return model.model_validate(data), []
    except ValidationError as error:
        from recipe_track.textfiles.words import faults  # much to load, and most files are sound

        return None, faults(path, error.errors(include_url=False), data, model)


def _literal(model: type[BaseModel]) -> str:
    return str(get_args(model.model_fields["kind"].annotation)[0])


def _candidates(kind: str, path: str, data: dict[str, Any]) -> tuple[list[type[BaseModel]], list[Fault]]:
    """The model a file must fit; where its `kind` is wrong, the fault and the models most likely meant."""
    if kind in SINGLE:
        return [SINGLE[kind]], []
    kinds = MATERIALS if kind == "material" else RECORDS
    letter = path.rsplit("/", 1)[-1][0] if kind == "record" else ""
    named = [name for name, one in LETTERS.items() if one == letter]
    found = data.get("kind")
    if isinstance(found, str) and found in kinds and (not named or found in named):
        return [kinds[found]], []
    if isinstance(found, str) and found in kinds:
        return _likely({one: kinds[one] for one in (found, *named)}, data), [
            _letter_fault(path, found, named[0])
        ]
    words = named or list(kinds)
    near = get_close_matches(found, words, n=1) if isinstance(found, str) else []
    guesses = [kinds[one] for one in named or near] or _likely(kinds, data)
    return guesses, [_kind_fault(path, data, words, near)]


def _kind_fault(path: str, data: dict[str, Any], words: list[str], near: list[str]) -> Fault:
    if "kind" not in data:
        return Fault(path, ("kind",), "the key `kind` is missing", f"it is {alternatives(words)}")
    message = f"`kind` must be {alternatives(words)}, not {shown(data['kind'])}"
    return Fault(path, ("kind",), message, f"did you mean {near[0]}?" if near else "")


def _likely(kinds: dict[str, type[BaseModel]], data: dict[str, Any]) -> list[type[BaseModel]]:
    """The kinds that share most keys with the file."""
    shared = {name: len(data.keys() & model.model_fields.keys()) for name, model in kinds.items()}
    return [model for name, model in kinds.items() if shared[name] == max(shared.values())]


def _letter_fault(path: str, found: str, named: str) -> Fault:
    hint = f"the id of a {found} begins with {LETTERS[found]}-"
    return Fault(path, ("kind",), f"`kind` is {found}, but the file is named as a {named}", hint)


def _against_path(path: str, record: Any) -> list[Fault]:
    """A record lies in the folder of its year."""
    folder = path.split("/")[-2]
    if f"{record.on.year:04d}" == folder:
        return []
    message = f"`on` is in {record.on.year}, but the file lies in records/{folder}"
    return [Fault(path, ("on",), message, f"move it to records/{record.on.year:04d}, or correct the date")]
