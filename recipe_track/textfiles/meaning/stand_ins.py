"""What a broken file still says, so that its other mistakes can be found in the same run."""

import re
from collections import defaultdict
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from copy import deepcopy
from dataclasses import dataclass
from datetime import date
from difflib import SequenceMatcher
from typing import Any

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from recipe_track.errors import Fault, Key
from recipe_track.recipe.paths import kind_of_path
from recipe_track.textfiles.meaning.paths import model_for
from recipe_track.textfiles.meaning.refusals import MOST_FAULTS, own_errors
from recipe_track.textfiles.meaning.size import too_large
from recipe_track.textfiles.syntax.decoding import decode
from recipe_track.textfiles.syntax.grammar import read_toml
from recipe_track.textfiles.syntax.parsing import follows

# One of these fits any key of any model; what stands in for a refused value is never shown or computed with.
STAND_INS: tuple[Any, ...] = (
    1.0, 0.5, 0.1, 1, "x", {}, [], [0.0, 0.0, 0.0], [0.0, 1.0], date(2000, 1, 1), True, "x/x", "x <x@x>",
    "r1", "0" * 40, "T-000000", "C-000000",
)  # fmt: skip
MOST_ROUNDS = 100  # some twenty choices, for a value inside a value inside a value
SIMILAR = 0.75


@dataclass(frozen=True, slots=True)
class Mended:
    """A model with stand-ins for what was refused; `hides` tells which faults only follow from those."""

    model: BaseModel
    hides: Callable[[Fault], bool]


def mend(path: str, data: bytes) -> Mended | None:
    """The rest of a broken file as a model; None where too little of it is left."""
    kind = kind_of_path(path)
    if kind is None or too_large(kind, data):
        return None
    decoded = decode(data)
    parsed = read_toml(decoded.readable, valid=False)
    wanted = model_for(kind, path, parsed.data)
    if wanted is None:
        return None
    draft = deepcopy(parsed.data)
    touched: dict[Key, int] = {}
    model = _validated(wanted, draft, touched)
    if model is None:
        return None
    neighbours = defaultdict(list)
    for *parents, last in touched:
        neighbours[tuple(parents)].append(last)

    def hides(fault: Fault) -> bool:
        return not decoded.legible or follows(fault, parsed) or _touches(fault.key, touched, neighbours)

    return Mended(model, hides)


def _validated(wanted: type[BaseModel], draft: dict[str, Any], touched: dict[Key, int]) -> BaseModel | None:
    for _ in range(MOST_ROUNDS):
        try:
            return wanted.model_validate(draft)
        except ValidationError as error:
            if error.error_count() > MOST_FAULTS:
                return None
            own = own_errors(error.errors(include_url=False))
            # All places first: what is mended for one error may take the place of the next with it.
            placed = [(one, tuple(_steps(draft, one))) for one in own]
            done = [_put_stand_in(draft, one, steps, touched) for one, steps in placed]
            if not all(done):
                return None
    return None


def _put_stand_in(draft: Any, error: ErrorDetails, key: Key, touched: dict[Key, int]) -> bool:
    """Take the refused key out, or put the next stand-in for its value; False where none is left."""
    if not key:
        return False
    *parents, last = key
    holder = draft
    for step in parents:
        if not _is_in(holder, step):
            return True
        holder = holder[step]
    turn = touched.get(key, 0)
    touched[key] = turn + 1
    if error["type"] == "extra_forbidden" or error["loc"][-1] == "[key]":
        if _is_in(holder, last):
            del holder[last]
        return True
    choices = (*_allowed(error), *STAND_INS)
    if turn >= len(choices):
        return False
    if isinstance(holder, dict):
        holder[str(last)] = deepcopy(choices[turn])
    elif isinstance(holder, list) and isinstance(last, int) and last <= len(holder):
        holder[last : last + 1] = [deepcopy(choices[turn])]
    return True


def _steps(data: Any, error: ErrorDetails) -> Iterator[str | int]:
    """The key path of an error within the data, without the branches of unions that pydantic names."""
    loc = error["loc"]
    for n, step in enumerate(loc):
        if _is_in(data, step):
            yield step
            data = data[step]
        elif n == len(loc) - 1 and error["type"] == "missing":
            yield step


def _is_in(data: Any, step: str | int) -> bool:
    if isinstance(data, list):
        return isinstance(step, int) and step < len(data)
    return isinstance(data, dict) and step in data


def _allowed(error: ErrorDetails) -> Iterator[str | bool]:
    """A value that a key with a few fixed ones takes: the first word, or true where it can only be that."""
    if error["type"] == "literal_error":
        words = re.findall(r"'([^']*)'", str(error["ctx"]["expected"]))
        yield words[0] if words else True


def _touches(key: Key, touched: Collection[Key], neighbours: Mapping[Key, Sequence[str | int]]) -> bool:
    """Whether a key was mended, lies in what was, or is what a mended neighbour was probably meant to be."""
    if any(key[:depth] in touched for depth in range(len(key) + 1)):
        return True
    near = neighbours.get(key[:-1], ()) if key and isinstance(key[-1], str) else ()
    return any(SequenceMatcher(None, str(other), str(key[-1])).ratio() > SIMILAR for other in near)
