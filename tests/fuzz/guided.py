"""`python -m tests.fuzz.guided -atheris_runs=100000`: mutants led by the lines that they reach; needs `.[fuzz]`.

A find ends the run and is written as `crash-…` where it was started: the first byte names the file, the rest is its
text, as `file_of` tells. What was interesting on the way is kept only where a folder for it is named.
"""

import os
import sys
from random import Random

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import atheris

with atheris.instrument_imports(
    include=["recipe_track.textfiles", "recipe_track.recipe", "recipe_track.workspace"]
):
    from tests.fuzz.mutants import mutate
    from tests.fuzz.yard import base, go_through


def file_of(data: bytes) -> tuple[str, bytes]:
    """The path and the bytes that an input stands for."""
    paths = sorted(base().recipe.files)
    return paths[(data[0] if data else 0) % len(paths)], data[1:]


def one_input(data: bytes) -> None:
    """Whatever it raises is a find."""
    go_through(*file_of(data))


def mutated(data: bytes, longest: int, seed: int) -> bytes:
    """A mutant of an input, or of one of the example's files as it lies."""
    random = Random(seed)
    if len(data) < 2 or random.random() < 0.1:
        data = bytes([random.randrange(256)])
        data += base().files[file_of(data)[0]]
    return (data[:1] + mutate(random, data[1:], list(base().files.values())))[:longest]


if __name__ == "__main__":
    base()
    atheris.Setup([sys.argv[0], "-max_len=100000", *sys.argv[1:]], one_input, custom_mutator=mutated)
    atheris.Fuzz()
