"""Branches and release tags, out of one run of `git for-each-ref`; how commits lie to each other."""

import re
from collections.abc import Iterator
from dataclasses import dataclass

from recipe_track.errors import CallError, Refused
from recipe_track.history.damage import missing_main
from recipe_track.history.log import utc
from recipe_track.history.making import message_bytes, signs_by_default, unsigned
from recipe_track.history.neutral import own_programs
from recipe_track.history.objects import has_signature
from recipe_track.history.people import TOLD_ONLY, identity
from recipe_track.history.process import failure
from recipe_track.history.repository import Repository

_FIELDS = (
    "refname", "objecttype", "objectname", "*objecttype", "*objectname",
    "taggerdate:unix", "taggername", "taggeremail", "contents:subject", "contents:body",
)  # fmt: skip
_RELEASE = re.compile(r"refs/tags/([a-z0-9][a-z0-9-]{0,63})/r([1-9][0-9]{0,8})")
_CHANGE_ID = r"C-[0-9A-HJKMNP-TV-Z]{6}"
_CHANGE = re.compile(rf"refs/(?:heads|remotes/(?P<remote>.+))/change/(?P<id>{_CHANGE_ID})")
# As `git check-ref-format --branch` has it: settings are read on every command, and a process costs 2 ms.
_NOT_IN_BRANCH = re.compile(r"[\x00-\x20\x7f~^:?*\[\\]|\.\.|@\{|//|/\.|\.lock(/|$)|^[-./@]$|^[-./]|[./]$|^$")


@dataclass(frozen=True, slots=True)
class Release:
    """An annotated tag `<model>/r<N>` on a commit; a lightweight one releases nothing.

    `on_main` says whether main contains the commit; refs alone do not know it (None), labels do.
    """

    model: str
    n: int
    tag: str
    commit: str
    tag_id: str
    message: str
    date: str
    tagger: str
    tagger_mail: str
    on_main: bool | None = None

    @property
    def label(self) -> str:
        """What the released revision is called."""
        return f"r{self.n}"


@dataclass(frozen=True, slots=True)
class ChangeBranch:
    """A branch `change/<id>`, here (remote None) or as last fetched from a remote."""

    id: str
    ref: str
    commit: str
    remote: str | None


@dataclass(frozen=True, slots=True)
class StrayTag:
    """A tag that is called like a release and is none, though it may lead to a commit."""

    name: str
    object: str
    what: str
    is_commit: bool = False


@dataclass(frozen=True, slots=True)
class Refs:
    """The refs that matter, as they stood at one moment; `main` is None before the first commit.

    `fetched` is main as it was last fetched.
    """

    main: str | None
    releases: tuple[Release, ...]
    changes: tuple[ChangeBranch, ...]
    astray: tuple[StrayTag, ...] = ()
    fetched: str | None = None


def read_refs(repo: Repository, main_branch: str) -> Refs:
    """Main's tip (as last fetched where there is no local main), the release tags, the change branches."""
    local = main_ref(main_branch)
    # A local main rules, as with git itself: what is only fetched is nobody's main here yet.
    rows = list(_rows(repo))
    tips = {row[0]: row[2] for row in rows}
    remote = f"refs/remotes/origin/{main_branch}"
    fetched = tips.get(remote) or next(
        (tips[ref] for ref in sorted(tips) if _is_remote(ref, main_branch)), None
    )
    if local not in tips and (damage := missing_main(repo, local)) is not None:
        raise damage
    return Refs(
        main=tips.get(local) or fetched,
        releases=tuple(sorted(_releases(rows), key=lambda release: (release.model, release.n))),
        changes=tuple(_changes(rows)),
        astray=tuple(_astray(rows)),
        fetched=fetched,
    )


def main_ref(main_branch: str) -> str:
    """The full name of the main branch; a name that git would not take is refused before git sees it."""
    if _NOT_IN_BRANCH.search(main_branch):
        raise CallError(
            f"`{main_branch}` cannot be the name of a branch", "see `main_branch` in recipe-track.toml"
        )
    return f"refs/heads/{main_branch}"


def is_change_id(text: str) -> bool:
    """Whether a text may name a branch change/<id>."""
    return re.fullmatch(_CHANGE_ID, text) is not None


def is_release_tag(text: str) -> bool:
    """Whether a text may name a release, <model>/r<N>."""
    return _RELEASE.fullmatch(f"refs/tags/{text}") is not None


def head_commit(repo: Repository) -> str | None:
    """The commit that is checked out; None before the first one."""
    return repo.git("rev-parse", "--verify", "--quiet", "HEAD^{commit}", ok=(0, 1)).decode().strip() or None


def is_ancestor(repo: Repository, commit: str, of: str) -> bool:
    """Whether a commit is contained in another; a commit contains itself."""
    args = ("merge-base", "--is-ancestor", commit, of)
    answer = repo.run(*args)
    if answer.status not in (0, 1):
        raise failure(answer, args)
    return answer.status == 0


def merge_base(repo: Repository, one: str, other: str) -> str | None:
    """The best common ancestor of two commits, if they share one."""
    return repo.git("merge-base", one, other, ok=(0, 1)).decode().strip() or None


def head(repo: Repository) -> str | None:
    """The commit that is checked out; None before the first."""
    return repo.git("rev-parse", "--verify", "--quiet", "HEAD^{commit}", ok=(0, 1)).decode().strip() or None


def last_touching(repo: Repository, tip: str, *paths: str) -> str | None:
    """The last first-parent commit at or before a tip that changed any of the paths."""
    args = (
        "-c",
        "log.follow=false",
        "log",
        "--first-parent",
        "--no-show-signature",
        "--no-color",
        "--max-count=1",
    )
    return repo.git(*args, "--format=%H", tip, "--", *paths).decode().strip() or None


def _rows(repo: Repository) -> Iterator[list[str]]:
    # NUL ends a field: no ref, name or message can hold one. Only the line end between records is git's own.
    form = "".join(f"%({name})%00" for name in _FIELDS)
    out = repo.git("for-each-ref", f"--format={form}", "refs/heads", "refs/remotes", "refs/tags")
    tokens = out.decode("utf-8", "replace").split("\0")
    for at in range(0, len(tokens) - len(_FIELDS), len(_FIELDS)):
        first, *rest = tokens[at : at + len(_FIELDS)]
        yield [first.lstrip("\n"), *rest]


def _releases(rows: list[list[str]]) -> Iterator[Release]:
    for ref, _kind, tag_id, target_kind, target, seconds, name, mail, subject, body in rows:
        match = _RELEASE.fullmatch(ref)
        if match is None or target_kind != "commit":
            continue
        message = f"{subject}\n\n{body}".strip()
        tag = ref.removeprefix("refs/tags/")
        date = utc(int(seconds or 0))
        yield Release(match[1], int(match[2]), tag, target, tag_id, message, date, name, mail.strip("<>"))


def _astray(rows: list[list[str]]) -> Iterator[StrayTag]:
    for ref, kind, object_id, target_kind, *_ in rows:
        if _RELEASE.fullmatch(ref) and target_kind != "commit":
            plain = f"a lightweight tag of a {kind}, which says neither who set it nor when"
            what = f"an annotated {target_kind}" if kind == "tag" else plain
            yield StrayTag(ref.removeprefix("refs/tags/"), object_id, what, kind == "commit")


def _changes(rows: list[list[str]]) -> Iterator[ChangeBranch]:
    for ref, _kind, commit, *_ in rows:
        if match := _CHANGE.fullmatch(ref):
            yield ChangeBranch(match["id"], ref, commit, match["remote"])


def main_remote(repo: Repository) -> str | None:
    """The remote that work is shared by: `origin`, or the first there is."""
    names = repo.git("remote").decode().split()
    return "origin" if "origin" in names else next(iter(names), None)


def _is_remote(ref: str, main_branch: str) -> bool:
    parts = ref.split("/", 3)
    return parts[:2] == ["refs", "remotes"] and len(parts) == 4 and parts[3] == main_branch


def create_release(
    repo: Repository, model: str, n: int, commit: str, message: str, *, sign: bool | None = None
) -> str:
    """Put the annotated tag <model>/r<n> on a commit and return the tag's id; a tag is never moved."""
    tag = f"{model}/r{n}"
    if not is_release_tag(tag):
        raise CallError(f"`{tag}` cannot be the tag of a release")
    identity(repo)
    signed = sign if sign is not None else signs_by_default(repo, "tag.gpgSign")
    # Said either way, so that what is checked below is what was asked for; verbatim, because a line that
    # begins with # is part of what people wrote.
    how = "--sign" if signed else "--no-sign"
    programs = own_programs(repo) if signed else ()
    args = (*programs, *TOLD_ONLY, "tag", "--annotate", how, "--cleanup=verbatim", "-F", "-", tag, commit)
    answer = repo.run(*args, stdin=message_bytes(message))
    tag_id = _tag_id(repo, tag)
    if answer.status != 0 and tag_id is not None:  # git tag without --force never changes one that is there
        raise Refused(
            f"{tag} is released already, so nothing was tagged", "fetch, and look at the next number"
        )
    if answer.status != 0 and signed:
        raise unsigned(answer.err)
    if answer.status != 0 or tag_id is None:
        raise failure(answer, args)
    if signed and not has_signature(repo, tag_id):
        # Git 2.39 tags all the same and reports success where it could not sign: seen with a missing key.
        repo.git("update-ref", "-d", f"refs/tags/{tag}", tag_id)
        raise unsigned(answer.err)
    return tag_id


def _tag_id(repo: Repository, tag: str) -> str | None:
    args = ("rev-parse", "--verify", "--quiet", f"refs/tags/{tag}")
    return repo.git(*args, ok=(0, 1)).decode().strip() or None
