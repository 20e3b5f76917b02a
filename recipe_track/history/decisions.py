"""Approved changes merged into main as one step, and released revisions tagged."""

from collections.abc import Callable, Mapping

from recipe_track.errors import CallError, Refused, RepositoryError
from recipe_track.history.commits import Draft, local_tip, put_on_main
from recipe_track.history.objects import message_bytes, record_entries, unsigned, write_tree
from recipe_track.history.people import TOLD_ONLY, identity
from recipe_track.history.refs import is_ancestor, is_release_tag, main_ref
from recipe_track.history.repository import Repository, failure

MERGING_GIT = (2, 38)
# How files are matched across renames decides what is a conflict: not a matter of anyone's settings.
_MERGE_SETTINGS = (
    *("-c", "merge.renames=true", "-c", "merge.directoryRenames=conflict", "-c", "merge.renameLimit=7000"),
    *("-c", "diff.renames=true", "-c", "diff.renameLimit=7000", "-c", "merge.renormalize=false"),
)


def merged_tree(repo: Repository, main: str, branch: str) -> str:
    """The tree that merging a commit into another gives; a conflict is refused with its paths."""
    if repo.git_version < MERGING_GIT:
        found = ".".join(map(str, repo.git_version))
        raise RepositoryError(
            f"approving needs git 2.38 or newer, and this is {found}", "install a newer git"
        )
    args = ("merge-tree", "--write-tree", "-z", "--name-only", "--no-messages", main, branch)
    answer = repo.run(*_MERGE_SETTINGS, *args)
    if answer.status not in (0, 1):
        raise failure(answer, args)
    tree, *paths = answer.out.decode("utf-8", "surrogateescape").split("\0")
    if answer.status == 1:
        raise Refused(
            "the change and main edit the same lines, so nothing was merged",
            "merge main into the change's branch, settle the conflict there, and approve again",
            tuple(dict.fromkeys(filter(None, paths))),
        )
    return tree


def merge_preview(repo: Repository, main_branch: str, branch: str) -> str:
    """The tree that main would have if a change were approved now; nothing moves."""
    tip = local_tip(repo, main_ref(main_branch))
    if tip is None:
        raise RepositoryError(f"there is no branch {main_branch} yet")
    return merged_tree(repo, tip, branch)


def approve(
    repo: Repository,
    main_branch: str,
    branch: str,
    records: Mapping[str, bytes],
    message: str,
    *,
    check: Callable[[str], None] | None = None,
    sign: bool | None = None,
) -> str:
    """Merge the tip of a change into main together with records, and return the merge commit.

    `check` is given each tree about to become main's, records included, and stops it by raising.
    """
    entries = record_entries(repo, records)

    def draft(tip: str | None) -> Draft:
        if tip is None:
            raise RepositoryError(f"there is no branch {main_branch} yet")
        if is_ancestor(repo, branch, tip):
            raise Refused("main holds this change already, so nothing was merged")
        tree = write_tree(repo, merged_tree(repo, tip, branch), entries)
        if check:
            check(tree)
        return Draft(tree, (branch,))

    return put_on_main(repo, main_branch, draft, message, sign=sign)


def create_release(
    repo: Repository, model: str, n: int, commit: str, message: str, *, sign: bool | None = None
) -> str:
    """Put the annotated tag <model>/r<n> on a commit and return the tag's id; a tag is never moved."""
    tag = f"{model}/r{n}"
    if not is_release_tag(tag):
        raise CallError(f"`{tag}` cannot be the tag of a release")
    identity(repo)
    how = {None: (), True: ("--sign",), False: ("--no-sign",)}[sign]
    args = (*TOLD_ONLY, "tag", "--annotate", *how, "--cleanup=verbatim", "-F", "-", tag, commit)
    answer = repo.run(*args, stdin=message_bytes(message))
    if "already exists" in answer.err:
        raise Refused(
            f"{tag} is released already, so nothing was tagged", "fetch, and look at the next number"
        )
    if answer.status != 0 and "sign" in answer.err:
        raise unsigned(answer.err)
    if answer.status != 0:
        raise failure(answer, args)
    tag_id = repo.git("rev-parse", "--verify", "--quiet", f"refs/tags/{tag}").decode().strip()
    if sign or answer.err.startswith("error:"):
        _refuse_unsigned(repo, tag, tag_id, answer.err)
    return tag_id


def _refuse_unsigned(repo: Repository, tag: str, tag_id: str, said: str) -> None:
    """Git 2.39 tags all the same and reports success where it could not sign: seen with a missing key."""
    if b"\n-----BEGIN " not in repo.git("cat-file", "tag", tag_id):
        repo.git("update-ref", "-d", f"refs/tags/{tag}", tag_id)
        raise unsigned(said)
