"""The texts of many blobs, those that are lost left out."""

from collections.abc import Iterable

from recipe_track.history.repository import Repository


def read_present(repo: Repository, oids: Iterable[str]) -> dict[str, bytes]:
    """The content of those of the blobs that are there, out of one `cat-file --batch`; nothing is fetched."""
    wanted = list(dict.fromkeys(oid for oid in oids if oid.isalnum()))
    if not wanted:
        return {}
    stdin = "".join(f"{oid}\n" for oid in wanted).encode()
    out = repo.git("cat-file", "--batch", "--buffer", stdin=stdin, env={"GIT_NO_LAZY_FETCH": "1"})
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
