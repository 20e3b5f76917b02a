"""Sentences of git, ssh-keygen and GnuPG that stand for something: the only place that goes by them.

They are read only where a status, a plumbing format or the object itself does not say the same. Every git
process is told to speak English (process.py). Seen with git 2.39 and OpenSSH 9.
"""

import re
from typing import Literal

_FOREIGN_OWNER = "dubious ownership"  # the status is 128, as of anything else
_TRUST = re.compile(r"git config --global --add safe\.directory .+")
# A partial clone before git 2.44; a later one calls the object missing, as any other clone does.
_NOT_FETCHED = re.compile(
    r"could not fetch [0-9a-f]+ from promisor remote|^fatal: transport .* not allowed", re.M
)
# In the words of the C library, and git's own of the index.
_FULL = ("No space left on device", "Out of diskspace", "Disk quota exceeded", "File too large")
# Git says why the lock could not be made in the words of the C library: a full disk or a folder that
# may not be written must not pass for a lock that someone holds.
_LOCK_HELD = re.compile(r"Unable to create '.*\.lock': File exists", re.DOTALL)
# Asking afterwards where the ref stands would be no answer: by then it may
# have moved again. The third is a branch `change` in the way of `change/<id>`.
_REF_ELSEWHERE = re.compile(
    r"cannot lock ref .*(but expected|reference already exists|exists; cannot create)", re.DOTALL
)
# ssh-keygen, which has no machine-readable answer, and is not translated.
_SSH_GOOD = re.compile(r'Good "git" signature for (?P<signer>\S+) with \S+ key (?P<key>\S+)')
_SSH_BAD = "incorrect signature"
# GnuPG's status lines are made for programs.
_GPG_GOOD = re.compile(r"^\[GNUPG:\] GOODSIG (?P<key>\S+) (?P<signer>.*)$", re.MULTILINE)
_GPG_BAD = re.compile(r"^\[GNUPG:\] BADSIG ", re.MULTILINE)


def command_to_trust(said: str) -> str | None:
    """The command that makes git read a repository of someone else; None where that is not the trouble."""
    if _FOREIGN_OWNER not in said:
        return None
    named = _TRUST.search(said)
    return named.group().strip() if named else "git config --global --add safe.directory DIR"


def says_not_fetched(said: str) -> bool:
    """Whether git would have fetched what a partial clone lacks, and was kept from it."""
    return _NOT_FETCHED.search(said) is not None


def says_disk_is_full(said: str) -> bool:
    """Whether git could not write for want of room, or of what someone may use of it."""
    return any(words in said for words in _FULL)


def says_lock_is_held(said: str) -> bool:
    """Whether git gave up because another process holds a lock file, or left it behind."""
    return _LOCK_HELD.search(said) is not None


def says_ref_is_elsewhere(said: str) -> bool:
    """Whether a ref was not moved because it no longer stands where it was expected to."""
    return _REF_ELSEWHERE.search(said) is not None


def good_signature(said: str) -> tuple[str, str] | None:
    """Signer and key that a signature was found good for."""
    match = _SSH_GOOD.search(said) or _GPG_GOOD.search(said)
    return (match["signer"], match["key"]) if match else None


def says_signature_is(said: str) -> Literal["bad", "unknown"]:
    """Of a signature that is not good: whether it does not fit the content, or nobody vouches for it."""
    return "bad" if _SSH_BAD in said or _GPG_BAD.search(said) else "unknown"
