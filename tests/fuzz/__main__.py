"""`python -m tests.fuzz 100000 [first]`: so many mutants; a find is kept in the corpus, under its number."""

import os
import signal
import sys
import traceback
from collections import Counter
from pathlib import Path
from random import Random

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # as the program does, before numpy is loaded

from tests.fuzz.mutants import mutate
from tests.fuzz.yard import base, go_through

CORPUS = Path(__file__).parent / "corpus"
LONGEST_S = 60.0  # of processor time, for one mutant of at most 100,000 bytes


class Endless(BaseException):
    """A mutant that is still at work after its time."""


def _stop(*_: object) -> None:
    raise Endless


def mutant(number: int) -> tuple[str, bytes]:
    """The path and bytes of a mutant, the same in every run."""
    random = Random(number)
    files = base().files
    recipe = list(base().recipe.files)
    path = random.choice(recipe if random.random() < 0.8 else list(files))
    return path, mutate(random, files[path], list(files.values()))


def main(count: int, first: int) -> int:
    """Try mutants; every new kind of find is told and kept."""
    signal.signal(signal.SIGVTALRM, _stop)
    came, known = Counter[str](), set[str]()
    for number in range(first, first + count):
        path, data = mutant(number)
        signal.setitimer(signal.ITIMER_VIRTUAL, LONGEST_S)
        try:
            came[go_through(path, data)] += 1
        except (Exception, Endless) as error:
            came["finds"] += 1
            _keep(number, path, data, error, known)
        finally:
            signal.setitimer(signal.ITIMER_VIRTUAL, 0)
        if (number - first + 1) % 1000 == 0:
            print(
                f"{number - first + 1:,} of {count:,}: {dict(sorted(came.items()))}",
                file=sys.stderr,
                flush=True,
            )
    print(f"{count:,} mutants: {dict(sorted(came.items()))}")
    return 1 if came["finds"] else 0


def _keep(number: int, path: str, data: bytes, error: BaseException, known: set[str]) -> None:
    """One find of each kind: a kind is where it came from."""
    place = traceback.extract_tb(error.__traceback__)[-1]
    kind = f"{type(error).__name__} at {Path(place.filename).name}:{place.name}"
    if kind in known:
        return
    known.add(kind)
    kept = CORPUS / str(number) / path
    kept.parent.mkdir(parents=True, exist_ok=True)
    kept.write_bytes(data)
    print(f"{kind}: {error}\n  {kept}", file=sys.stderr, flush=True)
    traceback.print_exception(error, limit=-6)


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]), int(sys.argv[2]) if len(sys.argv) > 2 else 0))
