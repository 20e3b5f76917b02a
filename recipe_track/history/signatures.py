"""Signatures on commits and tags, as git verifies them against the allowed signers of the caller's choice."""

import re
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from recipe_track.history.repository import Repository

Verdict = Literal["good", "unknown", "bad", "none"]
_VERDICTS: dict[str, Verdict] = {
    "G": "good",
    "B": "bad",
    "N": "none",
}  # the rest: unknown
_FIELDS = ("%H", "%G?", "%GS", "%GK", "%GF")
_SSH = re.compile(r'Good "git" signature for (?P<signer>\S+) with \S+ key (?P<key>\S+)')
_GPG_GOOD = re.compile(r"^\[GNUPG:\] GOODSIG (?P<key>\S+) (?P<signer>.*)$", re.MULTILINE)


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
    with _allowing(allowed_signers) as settings:
        out = repo.git(*settings, "log", *plainly, form, "--stdin", stdin="\n".join(commits).encode())
    tokens = [token.lstrip("\n") for token in out.decode("utf-8", "replace").split("\0")]
    rows = (tokens[at : at + len(_FIELDS)] for at in range(0, len(tokens) - len(_FIELDS), len(_FIELDS)))
    return {row[0]: Signature(_VERDICTS.get(row[1], "unknown"), row[2], row[3] or row[4]) for row in rows}


def verify_tag(repo: Repository, tag_id: str, allowed_signers: bytes) -> Signature:
    """The signature of an annotated tag."""
    with _allowing(allowed_signers) as settings:
        answer = repo.run(*settings, "verify-tag", "--raw", tag_id)
    said = answer.err + answer.out.decode("utf-8", "replace")
    if "no signature found" in said:
        return Signature("none")
    match = _SSH.search(said) or _GPG_GOOD.search(said)
    if answer.status == 0 and match:
        return Signature("good", match["signer"], match["key"])
    broken = "BADSIG" in said or "incorrect signature" in said
    return Signature("bad" if broken else "unknown")


@contextmanager
def _allowing(signers: bytes) -> Iterator[tuple[str, ...]]:
    with tempfile.TemporaryDirectory(prefix="recipe-track-") as folder:
        file = Path(folder) / "allowed_signers"
        file.write_bytes(signers)
        yield ("-c", f"gpg.ssh.allowedSignersFile={file}")
