"""What a model refuses, said in the words of the file: every pydantic error becomes a fault at a key."""

import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from difflib import get_close_matches
from typing import Any, get_args

from pydantic import BaseModel
from pydantic_core import ErrorDetails

from recipe_track.errors import Fault, Key
from recipe_track.recipe import fields, records
from recipe_track.textfiles.meaning.naming import (
    alternatives,
    described,
    fields_at,
    inside,
    keys_of,
    plain,
    shown,
)

ANYWHERE = ("name", "source", "note")
MOST_NUMBERS = 3  # in a list of a fixed length: a place
MOST_FAULTS, MOST_UNKNOWN_KEYS = 1000, 100  # told of one file: a pasted table is not told cell by cell
UNTOLD = "plausible"  # known to every table of a recipe, and seldom what was meant


@dataclass(frozen=True, slots=True)
class Refusal:
    """One value a model refused: the type of error, its key path, what stands there, the limits."""

    type: str
    path: Key
    value: Any
    limits: Mapping[str, Any]
    at_key: bool = False

    @property
    def subject(self) -> str:
        """The name of what is refused, with the row or table it stands in."""
        if self.path and isinstance(self.path[-1], int):
            return f"value {self.path[-1] + 1} of `{plain(str(self.path[-2]))}`"
        return f"`{plain(str(self.path[-1]))}`{inside(self.path[:-1])}" if self.path else "the file"


def faults(
    file: str, errors: Iterable[ErrorDetails], data: dict[str, Any], model: type[BaseModel]
) -> list[Fault]:
    """The faults behind the errors of one validation; what only follows from another one is left out."""
    listed = own_errors(errors)
    unknown = [error for error in listed if error["type"] == "extra_forbidden"]
    others = [error for error in listed if error["type"] != "extra_forbidden"]
    refusals = _settled(
        [_refusal(error, data) for error in (*others[:MOST_FAULTS], *unknown[:MOST_UNKNOWN_KEYS])]
    )
    suggested = {
        (*one.path[:-1], match)
        for one in refusals
        if one.type == "extra_forbidden"
        for match in _near(str(one.path[-1]), fields_at(model, one.path[:-1]))
    }
    own = [one for one in refusals if not (one.type == "missing" and one.path in suggested)]
    return [
        *(_fault(file, one, model) for one in own),
        *_unlisted(file, others[MOST_FAULTS:], data, "mistakes"),
        *_unlisted(file, unknown[MOST_UNKNOWN_KEYS:], data, "unknown keys"),
    ]


def _unlisted(file: str, rest: Sequence[ErrorDetails], data: Any, what: str) -> Iterator[Fault]:
    """One word for all that is not told, at the first of it."""
    if rest:
        message = f"{len(rest):,} more {what} from here on in this file are not listed"
        path = _refusal(rest[0], data).path
        yield Fault(file, path, "too-many-faults", message, "mend the others first", "key")


def own_errors(errors: Iterable[ErrorDetails]) -> list[ErrorDetails]:
    """Without a list that pydantic calls too short only because one of its rows was refused."""
    return [one for one in errors if not (one["type"] == "too_short" and one["input"])]


def _refusal(error: ErrorDetails, data: Any) -> Refusal:
    """The error with its key path in the data."""
    path: Key = ()
    loc = error["loc"]
    for step, part in enumerate(loc):
        if _holds(data, part):
            path, data = (*path, part), data[part]
        elif error["type"] == "missing" and step == len(loc) - 1:
            path = (*path, part)
    kind = error["type"]
    if kind == "missing" and isinstance(path[-1], int):
        kind = "missing_element"
    return Refusal(kind, path, error.get("input"), error.get("ctx", {}), loc[-1:] == ("[key]",))


def _holds(data: Any, part: str | int) -> bool:
    if isinstance(part, int):
        return isinstance(data, list) and part < len(data)
    return isinstance(data, dict) and part in data


def _settled(refusals: list[Refusal]) -> list[Refusal]:
    """With one refusal per list of a wrong length."""
    short = {one.path[:-1]: one for one in refusals if one.type == "missing_element"}
    return [one for one in refusals if one.type != "missing_element" or short[one.path[:-1]] is one]


def _fault(file: str, refusal: Refusal, model: type[BaseModel]) -> Fault:
    if refusal.type == "missing":
        table = inside(refusal.path[:-1])
        return Fault(file, refusal.path, "missing-key", f"the key `{refusal.path[-1]}` is missing{table}")
    if refusal.type == "extra_forbidden":
        message, hint = _unknown_key(refusal, model)
        return Fault(file, refusal.path, "unknown-key", message, hint, "key", str(refusal.path[-1]))
    path = refusal.path[:-1] if refusal.type == "missing_element" else refusal.path
    if refusal.type == "too_long" and refusal.limits["max_length"] > MOST_NUMBERS:
        path = (*path, refusal.limits["max_length"])  # the first row that is too many
    code, say = _BY_TYPE.get(refusal.type, ("refused", _other))
    message, hint = say(refusal)
    return Fault(file, path, code, message, hint, "key" if refusal.at_key else "value")


def _near(key: str, known: Iterable[str]) -> list[str]:
    return get_close_matches(key, list(known), n=1, cutoff=0.6)


def _unknown_key(refusal: Refusal, model: type[BaseModel]) -> tuple[str, str]:
    key, table = str(refusal.path[-1]), refusal.path[:-1]
    known = fields_at(model, table)
    message = f"unknown key `{plain(key)}`{inside(table)}"
    near = _near(key, known)
    if key in keys_of(model) and table:
        return message, f"`{key}` belongs to the file itself: write it before the first [table]"
    if near:
        return message, f"did you mean `{near[0]}`?"
    elsewhere = next((name for name in model.model_fields if key in fields_at(model, (name,))), None)
    if elsewhere is not None and elsewhere not in table:
        return message, f"it belongs to `{elsewhere}`"
    own = [name for name in known if name not in (*ANYWHERE, UNTOLD)]
    own += [name for name in ANYWHERE if name in known]
    return message, f"known here: {', '.join(own)}"


def _expected(what: str) -> Callable[[Refusal], tuple[str, str]]:
    return lambda refusal: (
        f"{refusal.subject} must be {what}, not {described(refusal.value)}",
        _type_hint(what, refusal.value),
    )


def _type_hint(what: str, value: Any) -> str:
    if isinstance(value, str):
        return _quotes_hint(what, value.strip())
    if what == "text" and isinstance(value, (bool, int, float, date)):
        return f'write "{shown(value)}" between quotes'
    if what == "a whole number" and isinstance(value, float) and value.is_integer():
        return f"write {int(value)}"
    if what.startswith("a list") and not isinstance(value, dict):
        return "write it between [ and ]"
    return ""


def _quotes_hint(what: str, text: str) -> str:
    """A value put between quotes that would be right without them."""
    if "number" in what and re.fullmatch(r"[+-]?\d+([.,]\d+)?", text):
        return f"write {text.replace(',', '.')} without quotes"
    if what == "true or false" and text.lower() in ("true", "false"):
        return f"write {text.lower()} without quotes"
    if what.startswith("a date") and re.fullmatch(r"\d{4}-\d\d-\d\d", text):
        return f"write {text} without quotes"
    if what.startswith("a list"):
        return f'write ["{plain(text)}"]'
    return ""


def _bound(relation: str, limit: str) -> Callable[[Refusal], tuple[str, str]]:
    return lambda refusal: (
        f"{refusal.subject} must be {relation} {refusal.limits[limit]:g}, not {shown(refusal.value)}",
        _fraction_hint(refusal),
    )


def _least(refusal: Refusal) -> tuple[str, str]:
    """Zero and less are kept apart from numbers that are only too small to be meant."""
    if refusal.limits["ge"] == fields.SMALLEST and refusal.value <= 0:
        return f"{refusal.subject} must be greater than 0, not {shown(refusal.value)}", ""
    return _bound("at least", "ge")(refusal)


def _fraction_hint(refusal: Refusal) -> str:
    """A percentage where a fraction is asked for."""
    limit = refusal.limits.get("le", refusal.limits.get("lt"))
    if limit == 1 and isinstance(refusal.value, (int, float)) and 2 <= refusal.value <= 100:
        return f"a fraction, not percent: {refusal.value / 100:g}?"
    return ""


def _finite(refusal: Refusal) -> tuple[str, str]:
    return f"{refusal.subject} must be a finite number, not {shown(refusal.value)}", ""


def _length(refusal: Refusal) -> tuple[str, str]:
    """A list with too many or too few values."""
    if refusal.type == "missing_element":
        count = int(refusal.path[-1]) + 1
        subject = replace(refusal, path=refusal.path[:-1]).subject
        return f"{subject} must be {count} numbers, not {len(refusal.value)}", ""
    if refusal.type == "too_long":
        count, given = refusal.limits["max_length"], len(refusal.value)
        if count > MOST_NUMBERS:
            return f"{refusal.subject} must have at most {count:,} rows, not {given:,}", ""
        hint = "decimal comma? a number is written with a point, as 1.5"
        return f"{refusal.subject} must be {count} numbers, not {given}", hint
    return f"{refusal.subject} must not be empty", ""


def _one_of(refusal: Refusal) -> tuple[str, str]:
    allowed = re.findall(r"'([^']*)'", refusal.limits["expected"])
    if not allowed:
        return f"{refusal.subject} can only be true", "leave it out otherwise"
    given = refusal.path[-1] if refusal.at_key else refusal.value
    near = _near(given.lower(), allowed) if isinstance(given, str) else []
    subject = f"a key{inside(refusal.path[:-1])}" if refusal.at_key else refusal.subject
    hint = f"did you mean {near[0]}?" if near else ""
    return f"{subject} must be {alternatives(allowed)}, not {shown(given)}", hint


def _form(refusal: Refusal) -> tuple[str, str]:
    """Text of another form than its kind has."""
    what, example = FORMS.get(refusal.limits["pattern"], (f"of the form {refusal.limits['pattern']}", ""))
    given = str(refusal.path[-1] if refusal.at_key else refusal.value)
    subject = f"a key{inside(refusal.path[:-1])}" if refusal.at_key else refusal.subject
    slug = re.sub(r"[^a-z0-9]+", "-", given.lower()).strip("-")
    if what == "an id" and slug and len(slug) <= 64:
        return f"{subject} must be an id, not {shown(given)}", f"an id is made of a–z, 0–9 and -: {slug}?"
    return f"{subject} must be {what}, not {shown(given)}", f"as {example}" if example else ""


def _empty(refusal: Refusal) -> tuple[str, str]:
    return f"{refusal.subject} must not be empty", ""


def _other(refusal: Refusal) -> tuple[str, str]:
    return f"{refusal.subject} cannot be {shown(refusal.value)}", ""


def _pattern(annotation: Any) -> str:
    """The pattern that an annotated text carries."""
    metadata = get_args(annotation)[1]
    pattern = getattr(metadata, "pattern", None)
    return str(pattern if pattern is not None else metadata.metadata[0].pattern)


FORMS = {
    _pattern(fields.Id): ("an id", "biax-800"),
    _pattern(fields.HullNumber): ("a hull number", "014"),
    _pattern(fields.ZoneName): ("a zone, named part/zone", "deck/deck-support"),
    _pattern(fields.NameAndMail): ("a name and a mail address", "Name <name@yard.example>"),
    _pattern(fields.CommitId): ("a full commit id", "40 or 64 digits 0–9 and a–f"),
    _pattern(fields.ReleaseLabel): ("a release label", "r7"),
    _pattern(records.RecordId): ("a record id", "T-7K3QX2"),
    _pattern(records.TrialId): ("the id of a trial observation", "T-7K3QX2"),
    _pattern(records.ChangeId): ("the id of a change", "C-2M9XQ4"),
    _pattern(records.StepId): ("the id of a step of a hull", "H-3T8WYA"),
    _pattern(records.AnsweredId): ("the id of a deviation or a verification", "N-V03BG6"),
    _pattern(fields.BlobId): ("the id of a blob, or nothing", "40 or 64 digits 0–9 and a–f"),
    _pattern(fields.Sha256): ("a SHA-256", "64 digits 0–9 and a–f"),
}
_BY_TYPE: dict[str, tuple[str, Callable[[Refusal], tuple[str, str]]]] = {
    "float_type": ("wrong-type", _expected("a number")),
    "int_type": ("wrong-type", _expected("a whole number")),
    "int_from_float": ("wrong-type", _expected("a whole number")),
    "bool_type": ("wrong-type", _expected("true or false")),
    "string_type": ("wrong-type", _expected("text")),
    "date_type": ("wrong-type", _expected("a date, as 2026-03-10")),
    "date_from_datetime_inexact": ("wrong-type", _expected("a date without a time")),
    "tuple_type": ("wrong-type", _expected("a list")),
    "dict_type": ("wrong-type", _expected("a table")),
    "model_type": ("wrong-type", _expected("a table")),
    "finite_number": ("not-finite", _finite),
    "greater_than": ("too-small", _bound("greater than", "gt")),
    "greater_than_equal": ("too-small", _least),
    "less_than": ("too-large", _bound("less than", "lt")),
    "less_than_equal": ("too-large", _bound("at most", "le")),
    "string_pattern_mismatch": ("wrong-form", _form),
    "string_too_short": ("empty", _empty),
    "literal_error": ("not-one-of", _one_of),
    "too_short": ("wrong-length", _length),
    "too_long": ("wrong-length", _length),
    "missing_element": ("wrong-length", _length),
}
