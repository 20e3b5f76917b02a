"""The cache: whole or absent, for one version of the formulas, within its room."""

import multiprocessing
from collections.abc import Iterator
from pathlib import Path

import pytest

from recipe_track.history.cache import Cache, open_cache
from recipe_track.history.repository import Repository, open_repository
from tests.journeys.gitrepo import GitRepo


@pytest.fixture
def repo(tmp_path: Path) -> Iterator[Repository]:
    """An empty repository."""
    yard = GitRepo.create(tmp_path)
    with yard.acting(), open_repository(yard.root) as opened:
        yield opened


def test_values_come_back_in_the_next_run(repo: Repository) -> None:
    value = {"mass_kg": 31.25, "zones": ["deck"], "none": None, "ö": "\ud800"}
    with open_cache(repo, "1") as cache:
        assert cache.get("abc") is None
        assert cache.put("abc", value)
    with open_cache(repo, "1") as cache:
        assert cache.get("abc") == value
        assert cache.get("abd") is None
    assert cache.folder.parent == repo.common_dir / "recipe-track"


def test_other_formulas_start_afresh(repo: Repository) -> None:
    with open_cache(repo, "1") as cache:
        cache.put("abc", 1)
    with open_cache(repo, "2") as newer:
        assert newer.get("abc") is None
    with open_cache(repo, "1") as again:
        assert again.get("abc") is None
    assert not cache.folder.exists()


@pytest.mark.parametrize(
    "rubbish", [b"", b'{"key":"abc","val', b"\xff\x00", b"[1]", b'{"key":"other","value":2}']
)
def test_a_corrupt_entry_is_computed_again(repo: Repository, rubbish: bytes) -> None:
    with open_cache(repo, "1") as cache:
        cache.put("abc", 1)
        (entry,) = cache.folder.rglob("*.json")
        entry.write_bytes(rubbish)
        assert cache.get("abc") is None
        assert cache.put("abc", 3)
        assert cache.get("abc") == 3


def test_the_oldest_entries_make_room(repo: Repository) -> None:
    with open_cache(repo, "1", most_bytes=4000) as cache:
        for n in range(30):
            cache.put(str(n), "x" * 200)
    kept = [n for n in range(30) if cache.get(str(n)) is not None]
    assert kept
    assert kept == list(range(30 - len(kept), 30))
    assert sum(file.stat().st_size for file in cache.folder.rglob("*.json")) <= 2000


def test_a_cache_that_cannot_be_written_is_no_error(repo: Repository) -> None:
    (repo.common_dir / "recipe-track").write_text("in the way")
    with open_cache(repo, "1") as cache:
        assert not cache.put("abc", 1)
        assert cache.get("abc") is None


def hammer(folder: Path, seed: int) -> int:
    """Write and read the same few keys over and over; counts what was neither whole nor absent."""
    cache = Cache(folder)
    wrong = 0
    for n in range(200):
        key = str((n + seed) % 5)
        cache.put(key, {"key": key, "filling": key * 5000})
        found = cache.get(str(n % 5))
        wrong += found is not None and found["filling"] != found["key"] * 5000
    return wrong


@pytest.mark.process
def test_several_processes_share_it(tmp_path: Path) -> None:
    with multiprocessing.get_context("spawn").Pool(3) as pool:
        assert pool.starmap(hammer, [(tmp_path / "cache", seed) for seed in range(3)]) == [0, 0, 0]
    assert not list((tmp_path / "cache").rglob("*.tmp"))
