"""From the bytes of files to one snapshot and every problem in it, located."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, TypeVar

from recipe_track.errors import Fault, Problem
from recipe_track.progress import steps
from recipe_track.recipe import rules
from recipe_track.recipe.craft import KNOWN_FORMAT, Model, Part, Prices, Settings
from recipe_track.recipe.hulls import renumbered
from recipe_track.recipe.ledger import Records
from recipe_track.recipe.paths import (
    PRICES_PATH,
    SETTINGS_PATH,
    RecipeFile,
    file_at,
    model_path,
    part_of,
    part_path,
    record_at,
)
from recipe_track.recipe.snapshot import ModelTree, PartTree, Snapshot
from recipe_track.textfiles.meaning.paths import misplaced
from recipe_track.textfiles.meaning.read import read_file

if TYPE_CHECKING:
    from recipe_track.textfiles.meaning.stand_ins import Mended

_NO_SETTINGS = ("there is no recipe-track.toml", "it holds `format = 1`")
ModelT = TypeVar("ModelT")
NONE_ODD: Mapping[str, Problem] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Reading:
    """What reading gave: a snapshot of all that could be read, its problems, and the files themselves.

    Without records the files are left out: a history would keep them for every revision.
    """

    snapshot: Snapshot
    problems: tuple[Problem, ...]
    files: Mapping[str, bytes]

    def located(self, faults: Iterable[Fault]) -> tuple[Problem, ...]:
        """Faults or notes of these files at their places, in the order of the files."""
        return in_order(located_in(self.files, _where_they_lie(faults, self.files)))


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


@dataclass(frozen=True, slots=True)
class Parsed:
    """The files of one revision, each read alone: bytes, models (None if refused) and problems."""

    files: Mapping[str, bytes]
    models: Mapping[str, Any]
    problems: Mapping[str, tuple[Problem, ...]]

    def grown(self, edited: Mapping[str, bytes], gone: Collection[str], parser: Parser) -> "Parsed":
        """The next revision: these files with some swapped or added and some taken out."""
        new = parse(edited, parser)
        return Parsed(
            _swapped(self.files, new.files, gone),
            _swapped(self.models, new.models, gone),
            _swapped(self.problems, new.problems, gone),
        )


def _swapped(
    values: Mapping[str, ModelT], new: Mapping[str, ModelT], gone: Collection[str]
) -> dict[str, ModelT]:
    kept = {**values, **new}
    for path in gone:
        kept.pop(path, None)
    return kept


def parse(files: Mapping[str, bytes], parser: Parser, odd: Mapping[str, Problem] = NONE_ODD) -> Parsed:
    """Read every file alone; what is odd has a problem instead of bytes."""
    models: dict[str, Any] = {path: None for path in odd if file_at(path) is not None}
    problems: dict[str, tuple[Problem, ...]] = {path: (problem,) for path, problem in odd.items()}
    for path, data in steps("reading files:", files.items(), len(files)):
        wrong = misplaced(path)
        if wrong is not None:
            problems[path] = (wrong,)
        elif file_at(path) is not None:
            models[path], problems[path] = parser.read(path, data)
    return Parsed({**files, **dict.fromkeys(odd, b"")}, models, problems)


def assemble(
    parsed: Parsed, with_records: bool, past_zones: Mapping[str, frozenset[str]] | None = None
) -> Reading:
    """Join what was parsed, and check it together."""
    files, models = parsed.files, dict(sorted(parsed.models.items()))
    problems = [problem for told in parsed.problems.values() for problem in told]
    snapshot, faults = join(models, past_zones or {})
    broken = _mended(files, [path for path, model in models.items() if model is None])
    whole = snapshot
    if broken:
        rest = {path: mended.model for path, mended in broken.items() if mended is not None}
        whole, faults = join({**models, **rest}, past_zones or {})
    faults.extend(_where_they_lie(rules.check(whole, with_records), files))
    problems.extend(located_in(files, _own(faults, broken)))
    return Reading(snapshot, in_order(problems), files if with_records else {})


def _mended(files: Mapping[str, bytes], broken: Sequence[str]) -> "dict[str, Mended | None]":
    if not broken:
        return {}
    from recipe_track.textfiles.meaning.stand_ins import mend

    return {path: mend(path, files[path]) for path in broken}


def join_readable(
    files: Mapping[str, bytes], parser: Parser, past_zones: Mapping[str, frozenset[str]]
) -> Snapshot:
    """What can be read of files, joined without being checked."""
    return join(parse(files, parser).models, past_zones)[0]


def in_order(problems: Iterable[Problem]) -> tuple[Problem, ...]:
    """Problems by file and place."""
    return tuple(sorted(problems, key=_place))


def _place(problem: Problem) -> tuple[str, int, int]:
    return problem.file, problem.line or 0, problem.column or 0


def located_in(files: Mapping[str, bytes], faults: Iterable[Fault]) -> list[Problem]:
    """Faults with their places in the files."""
    listed = sorted(faults, key=lambda fault: fault.file)  # file by file, so that each is read once
    if not listed:
        return []
    from recipe_track.textfiles.syntax.places import locate, unplaced

    return [locate(fault, files[fault.file]) if fault.file in files else unplaced(fault) for fault in listed]


def _where_they_lie(faults: Iterable[Fault], files: Mapping[str, bytes]) -> Iterable[Fault]:
    """Faults of records in their files, which a date that cannot be read does not lead to."""
    places = {record: path for path in files if (record := record_at(path)) is not None}
    for fault in faults:
        record = record_at(fault.file) if fault.file not in files else None
        yield replace(fault, file=places.get(record, fault.file)) if record else fault


def _own(faults: Iterable[Fault], broken: "Mapping[str, Mended | None]") -> Iterable[Fault]:
    """Without the faults that only follow from a file, or a value in it, that could not be read."""
    lost = [path for path, mended in broken.items() if mended is None]
    names = {file.id for path in lost if (file := file_at(path)) is not None}
    for fault in faults:
        mended = broken.get(fault.file)
        follows = (mended is not None and mended.hides(fault)) or fault.file in lost
        unknown = fault.code.startswith("unknown-")
        if not follows and not (unknown and names & {fault.name, part_of(fault.name)}):
            yield fault


def join(parsed: Mapping[str, Any], past: Mapping[str, frozenset[str]]) -> tuple[Snapshot, list[Fault]]:
    """What was read of every file as one snapshot; faults where a file is missing."""
    files = {path: file for path in sorted(parsed) if (file := file_at(path)) is not None}
    models, faults = _models(parsed, files)
    settings = _of(parsed, SETTINGS_PATH, Settings)
    if settings is None and SETTINGS_PATH not in parsed:
        faults.append(Fault(SETTINGS_PATH, (), "missing-settings", *_NO_SETTINGS))
    hulls = _by_id(parsed, files, "hull")
    snapshot = Snapshot(
        settings=settings or Settings(format=KNOWN_FORMAT),
        materials=_by_id(parsed, files, "material"),
        prices=_of(parsed, PRICES_PATH, Prices),
        models=models,
        hulls=hulls,
        records=Records(_by_id(parsed, files, "record"), renumbered(hulls)),
        past_zones=past,
    )
    return snapshot, faults


def _of(parsed: Mapping[str, Any], path: str, kind: type[ModelT]) -> ModelT | None:
    model = parsed.get(path)
    return model if isinstance(model, kind) else None


def _by_id(parsed: Mapping[str, Any], files: Mapping[str, RecipeFile], kind: str) -> dict[str, Any]:
    """What could be read of one kind."""
    return {
        file.id: parsed[path]
        for path, file in files.items()
        if file.kind == kind and parsed[path] is not None
    }


def _models(
    parsed: Mapping[str, Any], files: Mapping[str, RecipeFile]
) -> tuple[dict[str, ModelTree], list[Fault]]:
    faults: list[Fault] = []
    trees: dict[str, ModelTree] = {}
    for model_id in sorted({file.model for file in files.values() if file.model}):
        path = model_path(model_id)
        if path not in parsed:
            message = f"models/{model_id} has no model.toml"
            faults.append(Fault(path, (), "missing-model", message, "it holds at least `origin`"))
        model = _of(parsed, path, Model)
        own = {path: file for path, file in files.items() if file.model == model_id and file.kind != "model"}
        parts = {
            part: tree
            for part in sorted({part_of(file.id) for file in own.values()})
            if (tree := _part(parsed, own, model_id, part, faults)) is not None
        }
        if model is not None:
            trees[model_id] = ModelTree(model_id, model, parts)
    return trees, faults


def _part(
    parsed: Mapping[str, Any], own: Mapping[str, RecipeFile], model: str, part: str, faults: list[Fault]
) -> PartTree | None:
    path = part_path(model, part)
    if path not in parsed:
        hint = "it holds at least `process` and `resin`"
        faults.append(Fault(path, (), "missing-part", f"models/{model}/{part} has no part.toml", hint))
    written = _of(parsed, path, Part)
    if written is None:
        return None
    zones = {name: zone for name, zone in _by_id(parsed, own, "zone").items() if part_of(name) == part}
    return PartTree(part, written, {name.removeprefix(f"{part}/"): zone for name, zone in zones.items()})
