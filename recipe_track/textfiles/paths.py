"""Which kind of file lies at which path, and which paths do not fit the layout."""

import re

from recipe_track.errors import Problem
from recipe_track.recipe.fields import HULL_PATTERN, ID_PATTERN, RECORD_ALPHABET
from recipe_track.recipe.records import LETTERS
from recipe_track.textfiles.naming import plain

ID = ID_PATTERN.strip("^$")
HULL = HULL_PATTERN.strip("^$")
RECORD_ID = rf"[{''.join(LETTERS.values())}]-[{RECORD_ALPHABET}]{{6}}"
KINDS: list[tuple[str, re.Pattern[str]]] = [
    ("settings", re.compile(r"recipe-track\.toml")),
    ("prices", re.compile(r"prices\.toml")),
    ("material", re.compile(rf"materials/{ID}\.toml")),
    ("model", re.compile(rf"models/{ID}/model\.toml")),
    ("part", re.compile(rf"models/{ID}/(?!(?:part|model)/){ID}/part\.toml")),
    ("zone", re.compile(rf"models/{ID}/(?!(?:part|model)/){ID}/(?!(?:part|model)\.){ID}\.toml")),
    ("hull", re.compile(rf"hulls/{HULL}\.toml")),
    ("record", re.compile(rf"records/[0-9]{{4}}/{RECORD_ID}\.toml")),
]
LAYOUT = {
    "materials": "materials/<id>.toml",
    "models": "models/<model>/model.toml, and in models/<model>/<part>/ part.toml and <zone>.toml",
    "hulls": "hulls/<hull>.toml",
    "records": "records/<year>/<id>.toml",
}
ID_HINT = "an id is made of a–z, 0–9 and -, as biax-800"
RECORD_HINT = f"a record id is {', '.join(LETTERS.values())} and - with six of {RECORD_ALPHABET}"


def kind_of_path(path: str) -> str | None:
    """The kind of recipe file that lies at a path (relative, with /), None for any other file."""
    return next((kind for kind, pattern in KINDS if pattern.fullmatch(path)), None)


def misplaced(path: str) -> Problem | None:
    """What is wrong with a path that looks like a recipe file but is none."""
    if kind_of_path(path) is not None or not path.lower().endswith(".toml"):
        return None
    if path.lower() in ("recipe-track.toml", "prices.toml"):
        return Problem(path, None, None, f"this file is named {path.lower()}", "in lower case")
    folders = path.split("/")
    top = folders[0].lower()
    if top not in LAYOUT or len(folders) == 1:
        return None
    if folders[0] != top:
        return Problem(path, None, None, f"the folder is named {top}", "in lower case")
    message, hint = _why(top, folders[1:-1], folders[-1])
    return Problem(path, None, None, message, hint)


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
