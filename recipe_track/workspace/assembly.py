"""From the bytes of files to one snapshot and every problem in it, located."""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, TypeVar

from recipe_track.errors import Fault, Problem
from recipe_track.recipe import rules
from recipe_track.recipe.craft import Hull, Model, Part, Prices, Settings
from recipe_track.recipe.layup import Zone
from recipe_track.recipe.snapshot import (
    PRICES_PATH,
    SETTINGS_PATH,
    ModelTree,
    PartTree,
    Snapshot,
    model_path,
    part_path,
)
from recipe_track.textfiles.meaning.paths import kind_of_path, misplaced
from recipe_track.textfiles.meaning.read import read_file

if TYPE_CHECKING:
    from recipe_track.textfiles.meaning.stand_ins import Salvaged

_QUOTED = re.compile(r"`([^`]+)`")
T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Reading:
    """What reading gave: a snapshot of all that could be read, its problems, and notes for a second look."""

    snapshot: Snapshot
    problems: tuple[Problem, ...]
    notes: tuple[Problem, ...]


class Parser:
    """Reads files, each content once, however many revisions hold it."""

    def __init__(self) -> None:
        self._known: dict[tuple[str, bytes], tuple[Any, tuple[Problem, ...]]] = {}

    def read(self, path: str, data: bytes) -> tuple[Any, tuple[Problem, ...]]:
        """The model of one file, or None with its problems."""
        key = (path, data)
        if key not in self._known:
            self._known[key] = read_file(path, data)
        return self._known[key]


def assemble(
    files: Mapping[str, bytes],
    parser: Parser,
    with_records: bool,
    past_zones: Mapping[str, frozenset[str]] | None = None,
) -> Reading:
    """Parse every file, join them, and check them together."""
    parsed, problems = _parsed(files, parser)
    snapshot, faults = _join(parsed, past_zones or {})
    broken = _salvaged(files, [path for path, model in parsed.items() if model is None])
    whole = snapshot
    if broken:
        rest = {path: saved.model for path, saved in broken.items() if saved is not None}
        whole, faults = _join({**parsed, **rest}, past_zones or {})
    faults.extend(_where_they_lie(rules.check(whole, with_records), files))
    problems.extend(_located(_own(faults, broken), files))
    notes = _located(rules.notes(snapshot), files)
    return Reading(snapshot, tuple(sorted(problems, key=_place)), tuple(sorted(notes, key=_place)))


def _salvaged(files: Mapping[str, bytes], broken: Sequence[str]) -> "dict[str, Salvaged | None]":
    if not broken:
        return {}
    from recipe_track.textfiles.meaning.stand_ins import salvage

    return {path: salvage(path, files[path]) for path in broken}


def joined(files: Mapping[str, bytes], parser: Parser, past_zones: Mapping[str, frozenset[str]]) -> Snapshot:
    """What can be read of files, joined without being checked."""
    return _join(_parsed(files, parser)[0], past_zones)[0]


def _parsed(files: Mapping[str, bytes], parser: Parser) -> tuple[dict[str, Any], list[Problem]]:
    parsed: dict[str, Any] = {}
    problems: list[Problem] = []
    for path, data in files.items():
        wrong = misplaced(path)
        if wrong is not None:
            problems.append(wrong)
        elif kind_of_path(path) is not None:
            parsed[path], found = parser.read(path, data)
            problems.extend(found)
    return parsed, problems


def _place(problem: Problem) -> tuple[str, int, int]:
    return problem.file, problem.line or 0, problem.column or 0


def _located(faults: Iterable[Fault], files: Mapping[str, bytes]) -> list[Problem]:
    found = list(faults)
    if not found:
        return []
    from recipe_track.textfiles.syntax.places import locate

    there = {fault.file for fault in found} & files.keys()
    texts = {path: files[path].decode("utf-8", "replace") for path in there}
    return [
        locate(fault, texts[fault.file])
        if fault.file in texts
        else Problem(fault.file, None, None, fault.message, fault.hint)
        for fault in found
    ]


def _where_they_lie(faults: Iterable[Fault], files: Mapping[str, bytes]) -> Iterable[Fault]:
    """Faults of records in their files, which a date that cannot be read does not lead to."""
    places = {_id(path): path for path in files if path.startswith("records/")}
    for fault in faults:
        elsewhere = fault.file.startswith("records/") and fault.file not in files
        yield replace(fault, file=places.get(_id(fault.file), fault.file)) if elsewhere else fault


def _own(faults: Iterable[Fault], broken: "Mapping[str, Salvaged | None]") -> Iterable[Fault]:
    """Without the faults that only follow from a file, or a value in it, that could not be read."""
    lost = [path for path, saved in broken.items() if saved is None]
    names = {path.rsplit("/", 1)[-1].removesuffix(".toml") for path in lost}
    names |= {path.split("/")[1] for path in lost if path.startswith("models/")}
    for fault in faults:
        saved = broken.get(fault.file)
        follows = (saved is not None and saved.hides(fault)) or fault.file in lost
        unknown = fault.message.startswith("unknown")
        if not follows and not (unknown and names.intersection(_QUOTED.findall(fault.message))):
            yield fault


def _join(parsed: Mapping[str, Any], past: Mapping[str, frozenset[str]]) -> tuple[Snapshot, list[Fault]]:
    models, faults = _models(parsed)
    settings = _of(parsed, SETTINGS_PATH, Settings)
    if settings is None and SETTINGS_PATH not in parsed:
        faults.append(Fault(SETTINGS_PATH, (), "there is no recipe-track.toml", "it holds `format = 1`"))
    snapshot = Snapshot(
        settings=settings or Settings(format=1),
        materials=_under(parsed, "materials/"),
        prices=_of(parsed, PRICES_PATH, Prices),
        models=models,
        hulls={_id(p): m for p, m in parsed.items() if isinstance(m, Hull)},
        records=_under(parsed, "records/"),
        past_zones=past,
    )
    return snapshot, faults


def _id(path: str) -> str:
    return path.rsplit("/", 1)[-1].removesuffix(".toml")


def _of(parsed: Mapping[str, Any], path: str, kind: type[T]) -> T | None:
    found = parsed.get(path)
    return found if isinstance(found, kind) else None


def _under(parsed: Mapping[str, Any], folder: str) -> dict[str, Any]:
    return {_id(p): m for p, m in sorted(parsed.items()) if p.startswith(folder) and m is not None}


def _models(parsed: Mapping[str, Any]) -> tuple[dict[str, ModelTree], list[Fault]]:
    faults: list[Fault] = []
    trees: dict[str, ModelTree] = {}
    paths = [p.split("/") for p in parsed if p.startswith("models/")]
    for model_id in sorted({p[1] for p in paths}):
        path = model_path(model_id)
        if path not in parsed:
            faults.append(
                Fault(path, (), f"models/{model_id} has no model.toml", "it holds at least `origin`")
            )
        model = _of(parsed, path, Model)
        parts = {
            part: tree
            for part in sorted({p[2] for p in paths if p[1] == model_id and len(p) == 4})
            if (tree := _part(parsed, model_id, part, faults)) is not None
        }
        if model is not None:
            trees[model_id] = ModelTree(model_id, model, parts)
    return trees, faults


def _part(parsed: Mapping[str, Any], model: str, part: str, faults: list[Fault]) -> PartTree | None:
    path = part_path(model, part)
    if path not in parsed:
        hint = "it holds at least `process` and `resin`"
        faults.append(Fault(path, (), f"models/{model}/{part} has no part.toml", hint))
    found = _of(parsed, path, Part)
    if found is None:
        return None
    folder = f"models/{model}/{part}/"
    zones = {_id(p): m for p, m in sorted(parsed.items()) if p.startswith(folder) and isinstance(m, Zone)}
    return PartTree(part, found, zones)
