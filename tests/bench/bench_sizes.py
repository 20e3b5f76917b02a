"""How the cost of large things grows: how much longer twice the size takes; run as a module.

Prints ratios within one run (2 is in proportion, 4 the square) and nothing of the machine; nothing here is a test.
"""

import os
import statistics
import time
from collections.abc import Callable
from dataclasses import replace

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # as the program does, before numpy is loaded

from recipe_track.figures.craft import figures_of
from recipe_track.impact.align import align
from recipe_track.impact.comparing import compare_models
from recipe_track.recipe.layup import Layer, Zone
from recipe_track.recipe.snapshot import Snapshot
from recipe_track.textfiles.meaning.read import read_file
from recipe_track.textfiles.meaning.stand_ins import mend
from recipe_track.workspace.assembly import Parser, assemble, parse
from tests.recipes import WORKED, read_recipe

PATH = "models/demo/deck/side.toml"
KINDS = {"wr-600": "reinforcement"}
RUNS = 5


def layers(count: int, turn: int) -> tuple[Layer, ...]:
    """As many layers of one fabric, each at another angle than its neighbour."""
    return tuple(Layer(material="wr-600", angle_deg=float(n * turn % 90)) for n in range(count))


def with_zones(base: Snapshot, zones: dict[str, Zone]) -> Snapshot:
    """The worked recipe with other zones in its deck."""
    tree = base.models["demo"]
    deck = replace(tree.parts["deck"], zones=zones)
    return replace(base, models={"demo": replace(tree, parts={**tree.parts, "deck": deck})})


def comparison(count: int, edits: int | None) -> Callable[[], object]:
    """A zone of so many layers compared with itself, some of its layers at other angles, or all."""
    base = read_recipe(WORKED)
    side = base.models["demo"].parts["deck"].zones["side"]
    old = layers(count, 7)
    new = layers(count, 11) if edits is None else (*layers(edits, 11), *old[edits:])
    before, after = (with_zones(base, {"side": side.model_copy(update={"layup": one})}) for one in (old, new))
    figures = figures_of(before, "demo"), figures_of(after, "demo")
    return lambda: compare_models(before, after, "demo", *figures)


def new_zones(count: int) -> Callable[[], object]:
    """So many zones beside those that were there: figures and comparison."""
    base = read_recipe(WORKED)
    side = base.models["demo"].parts["deck"].zones["side"]
    sizes = {f"z{n}": side.model_copy(update={"area_m2": 1.0 + n}) for n in range(count)}
    after, old = with_zones(base, sizes), figures_of(base, "demo")
    return lambda: compare_models(base, after, "demo", old, figures_of(after, "demo"))


def reading(text: str) -> Callable[[], object]:
    """One file read, and what can be of it for the rules across files."""
    data = text.encode()
    return lambda: (read_file(PATH, data), mend(PATH, data))


def checking(count: int) -> Callable[[], object]:
    """So many layers with two mistakes each, joined with the rest and located."""
    rows = '  { material = "gone", plies = -1 },\n' * count
    zone = f"area_m2 = 1\ncentroid_m = [0, 0, 0]\nlayup = [\n{rows}]\n"
    files = {
        "recipe-track.toml": b"format = 1\n",
        "models/demo/model.toml": b'origin = "x"\n',
        "models/demo/deck/part.toml": b'process = "infusion"\nresin = "x"\n',
        PATH: zone.encode(),
    }
    return lambda: assemble(parse(files, Parser()), with_records=True)


def seconds(act: Callable[[], object]) -> float:
    """Processor time of one run."""
    start = time.process_time()
    act()
    return time.process_time() - start


def twice(make: Callable[[int], Callable[[], object]], size: int) -> float:
    """How much longer twice the size takes: the median over interleaved pairs."""
    one, two = make(size), make(2 * size)
    one(), two()
    return statistics.median(seconds(two) / max(seconds(one), 1e-9) for _ in range(RUNS))


CASES: tuple[tuple[str, Callable[[int], Callable[[], object]], int], ...] = (
    (
        "layers aligned, three of them edited",
        lambda n: lambda: align(layers(n, 7), (*layers(3, 11), *layers(n, 7)[3:]), KINDS),
        250,
    ),
    ("layers aligned, all of them edited", lambda n: lambda: align(layers(n, 7), layers(n, 11), KINDS), 250),
    ("layers compared, ten of them edited", lambda n: comparison(n, 10), 250),
    ("layers compared, all of them edited", lambda n: comparison(n, None), 250),
    ("new zones compared", new_zones, 100),
    ("unknown keys", lambda n: reading("".join(f"key{k} = 1\n" for k in range(n))), 5_000),
    ("words pasted", lambda n: reading("lorem ipsum dolor sit amet\n" * n), 5_000),
    ("words pasted on one line", lambda n: reading("lorem ipsum dolor sit amet, " * n), 5_000),
    ("bytes of one list", lambda n: reading(f"layup = [{'1, ' * n}]\n"), 20_000),
    ("bad layers checked", checking, 250),
)


def main() -> None:
    """Print a line a case."""
    for words, make, size in CASES:
        print(f"{words}, {2 * size:,} against {size:,}: {twice(make, size):.1f}", flush=True)


if __name__ == "__main__":
    main()
