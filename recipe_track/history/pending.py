"""A commit that is being made: what it changes in the recipe, and the message it is about to get."""

from recipe_track.history.blobs import RECIPE_EDITS, as_path
from recipe_track.history.log import parse_trailers
from recipe_track.history.repository import Repository

_SCISSORS = b" ------------------------ >8 ------------------------\n"


def staged_edits(repo: Repository) -> tuple[tuple[str, str], ...]:
    """Status letter and path of every recipe file that the commit changes."""
    env = {"GIT_INDEX_FILE": repo.index_file} if repo.index_file else None
    born = repo.run("rev-parse", "--verify", "--quiet", "HEAD").status == 0
    before = "HEAD" if born else repo.git("hash-object", "-t", "tree", "--stdin").decode().strip()
    options = ("--cached", "--no-renames", "--no-ext-diff", "--name-status", "-z")
    tokens = repo.git("diff-index", *options, before, "--", *RECIPE_EDITS, env=env).split(b"\0")[:-1]
    pairs = zip(tokens[::2], tokens[1::2], strict=True)
    return tuple((letter.decode(), as_path(path)) for letter, path in pairs)


def is_merging(repo: Repository) -> bool:
    """Whether the commit closes a merge."""
    return (repo.git_dir / "MERGE_HEAD").exists()


def message_trailers(repo: Repository, message: bytes) -> dict[str, str]:
    """Trailers of a message as it comes out of an editor, by key in lower case."""
    kept = message.split(_SCISSORS, 1)[0]
    text = repo.git("stripspace", "--strip-comments", stdin=kept).decode("utf-8", "replace")
    return {key.lower(): value for key, value in parse_trailers(text)}
