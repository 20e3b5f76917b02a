"""Signatures on commits and tags, as git verifies them against the allowed signers of the caller's choice."""

import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from recipe_track.history.neutral import own_programs
from recipe_track.history.objects import has_signature
from recipe_track.history.repository import Repository
from recipe_track.history.wording import good_signature, says_signature_is

Verdict = Literal["good", "unknown", "bad", "none"]
# What %G? says. The rest is unknown: nobody vouches for the key (U), it or the signature has expired (X, Y),
# it was revoked (R), or nothing here can check it (E).
_VERDICTS: dict[str, Verdict] = {"G": "good", "B": "bad", "N": "none"}
_FIELDS = ("%H", "%G?", "%GS", "%GK", "%GF")


@dataclass(frozen=True, slots=True)
class Signature:
    """Good: by an allowed signer. Unknown: nobody vouches for it. Bad: it does not fit the content."""

    verdict: Verdict
    signer: str = ""
    key: str = ""


def verify_commits(repo: Repository, commits: Sequence[str], allowed_signers: bytes) -> dict[str, Signature]:
    """The signature of each commit, against an ssh allowed-signers file's content, or the OpenPGP keyring."""
    if not commits:
        return {}
    form = f"--format={'%x00'.join(_FIELDS)}%x00"
    plainly = ("--no-walk=unsorted", "--no-color", "--no-show-signature", "--no-patch")
    # The ids go through stdin: a long history has more of them than a command line takes.
    with _allowing(repo, allowed_signers) as settings:
        out = repo.git(*settings, "log", *plainly, form, "--stdin", stdin="\n".join(commits).encode())
    tokens = [token.lstrip("\n") for token in out.decode("utf-8", "replace").split("\0")]
    rows = (tokens[at : at + len(_FIELDS)] for at in range(0, len(tokens) - len(_FIELDS), len(_FIELDS)))
    return {row[0]: Signature(_VERDICTS.get(row[1], "unknown"), row[2], row[3] or row[4]) for row in rows}


def verify_tag(repo: Repository, tag_id: str, allowed_signers: bytes) -> Signature:
    """The signature of an annotated tag; for tags git has no format like %G?, only what the checker said."""
    if not has_signature(repo, tag_id):
        return Signature("none")
    with _allowing(repo, allowed_signers) as settings:
        answer = repo.run(*settings, "verify-tag", "--raw", tag_id)
    said = answer.err + answer.out.decode("utf-8", "replace")
    good = good_signature(said)
    # The status counts, too: what GnuPG calls good may be below git's own minimum of trust.
    return Signature("good", *good) if answer.status == 0 and good else Signature(says_signature_is(said))


@contextmanager
def _allowing(repo: Repository, signers: bytes) -> Iterator[tuple[str, ...]]:
    """Settings under which these signers count, and the person's own programs say so."""
    with tempfile.TemporaryDirectory(prefix="recipe-track-") as folder:
        file = Path(folder) / "allowed_signers"
        file.write_bytes(signers)
        yield (*own_programs(repo), "-c", f"gpg.ssh.allowedSignersFile={file}")
