"""The texts of many blobs, those that are lost left out."""

from collections.abc import Iterable

from recipe_track.history.process import Answer, failure
from recipe_track.history.repository import Repository
from recipe_track.history.wording import says_not_fetched


def read_present(repo: Repository, oids: Iterable[str]) -> dict[str, bytes]:
    """The content of those of the blobs that are there, out of one `cat-file --batch`; nothing is fetched."""
    wanted = list(dict.fromkeys(oid for oid in oids if oid.isalnum()))
    if not wanted:
        return {}
    answer = _asked(repo, wanted)
    if says_not_fetched(answer.err):  # an older git stops at the first that a partial clone lacks
        here = _all_here(repo)
        wanted = [oid for oid in wanted if oid in here]
        answer = _asked(repo, wanted)
    if answer.status != 0:
        raise failure(answer, ("cat-file",))
    out = answer.out
    found: dict[str, bytes] = {}
    at = 0
    for oid in wanted:
        end = out.index(b"\n", at)
        fields = out[at:end].split(b" ")
        at = end + 1
        if len(fields) == 3:
            start, at = at, at + int(fields[2]) + 1
            if fields[1] == b"blob":
                found[oid] = out[start : at - 1]
    return found


def _asked(repo: Repository, oids: Iterable[str]) -> Answer:
    return repo.run("cat-file", "--batch", "--buffer", stdin="".join(f"{oid}\n" for oid in oids).encode())


def _all_here(repo: Repository) -> frozenset[str]:
    """The id of every object that this clone has."""
    args = ("cat-file", "--batch-all-objects", "--unordered", "--batch-check=%(objectname)")
    return frozenset(repo.git(*args).decode().split())
