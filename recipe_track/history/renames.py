"""Files that git takes for renamed between two commits."""

from recipe_track.history.blobs import as_path
from recipe_track.history.repository import Repository


def renamed(repo: Repository, before: str, after: str, folder: str) -> dict[str, str]:
    """New path → old path of the files under a folder that are at least half alike."""
    out = repo.git(
        "diff-tree", "-r", "-z", "--no-ext-diff", "--no-textconv", "--diff-filter=R", "-M50%", "-l1000",
        "--name-status", before, after, "--", folder,
    )  # fmt: skip
    fields = out.split(b"\0")
    rows = zip(fields[0::3], fields[1::3], fields[2::3], strict=False)
    return {as_path(new): as_path(old) for status, old, new in rows if status.startswith(b"R")}
