"""New files of a work tree that neither its HEAD nor main holds: what a run that was stopped may leave."""

from collections.abc import Sequence
from dataclasses import dataclass

from recipe_track.history.objects import empty_tree, tree
from recipe_track.history.process import as_path
from recipe_track.history.refs import head_commit, main_ref
from recipe_track.history.repository import Repository


@dataclass(frozen=True, slots=True)
class NewFile:
    """A file that is on no commit here; staged, the next `git commit` takes it along."""

    path: str
    staged: bool


def new_files(
    repo: Repository, main_branch: str, roots: Sequence[str], *, staged_only: bool = False
) -> tuple[NewFile, ...]:
    """Files under the roots that index or work tree hold, and no commit does; none in a bare repository."""
    if repo.root is None:
        return ()
    env = {"GIT_INDEX_FILE": repo.index_file} if repo.index_file else None
    before = "HEAD" if head_commit(repo) else empty_tree(repo)
    options = ("--cached", "--ita-invisible-in-index", "--no-renames", "--no-ext-diff", "--name-only", "-z")
    added = repo.git("diff-index", *options, "--diff-filter=A", before, "--", *roots, env=env)
    found = {as_path(path): True for path in added.split(b"\0") if path}
    if not staged_only:
        others = repo.git("ls-files", "--others", "-z", "--", *roots, env=env, at=repo.root)
        found |= {as_path(path): False for path in others.split(b"\0") if path}
    if not found:
        return ()
    main = main_ref(main_branch)
    on_main = tree(repo, main, tuple(found)) if repo.run("rev-parse", "--quiet", "--verify", main).out else {}
    return tuple(NewFile(path, staged) for path, staged in sorted(found.items()) if path not in on_main)
