"""Where the data files that travel with the program lie: in the wheel, or beside the source."""

from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path

from recipe_track.errors import TrackError


def data_folder(name: str) -> Traversable:
    """The data folder `recipe_track/_data/<name>` of a wheel, else the checkout's top-level `<name>`."""
    packed = files("recipe_track") / "_data" / name
    if packed.is_dir():
        return packed
    beside = Path(__file__).resolve().parents[2] / name
    if beside.is_dir():
        return beside
    raise TrackError(
        f"the data folder {name} is missing from this installation", "install recipe-track again"
    )


def example_repo() -> Traversable:
    """The plain files of the example repository."""
    return data_folder("example_repo")
