"""Signatures over the bytes of a record, kept beside it: they survive squash, rebase and any other commit."""

import os
import re
import subprocess
import tempfile
from collections.abc import Iterable, Sequence
from pathlib import Path

from recipe_track.errors import Refused
from recipe_track.history.repository import Repository
from recipe_track.history.signatures import Signature

NAMESPACE = "recipe-track"  # so that a signature over anything else is never taken for one over a record
SUFFIX = ".sig"
PROGRAM = "ssh-keygen"  # found on the PATH: a repository's own configuration never names what is run
_KEY = re.compile(r"(?P<mail>\S+@\S+)\s+(?P<key>(?:ssh|ecdsa|sk)-\S+\s+[A-Za-z0-9+/=]+)(?:\s.*)?")
# Where a key is named: a person's own configuration or the machine's, not that of the repository.
_OWN_SCOPES = ("--global", "--system")


def sign_record(repo: Repository, record: bytes) -> bytes:
    """The signature of whoever is at work over the bytes of a record; refused where it cannot be made."""
    key = _signing_key(repo)
    with tempfile.TemporaryDirectory(prefix="recipe-track-") as folder:
        file = Path(folder) / "record"
        file.write_bytes(record)
        answer = _run("-Y", "sign", "-q", "-n", NAMESPACE, "-f", _key_file(key, Path(folder)), str(file))
        made = file.with_name(f"{file.name}{SUFFIX}")
        if answer.returncode != 0 or not made.is_file():
            said = answer.stderr.decode("utf-8", "replace").strip()
            raise Refused(f"it could not be signed: {said}", "see user.signingKey in `git help config`")
        return made.read_bytes()


def verify_record(record: bytes, signature: bytes | None, person: str, keys: Sequence[str]) -> Signature:
    """Whether a person, by mail address, signed these bytes with a key that is listed for that address.

    `keys` are lines `mail ssh-ed25519 …`. Good: by that person. Unknown: a key that nobody vouches for, or
    someone else's. Bad: the signature does not fit the bytes. None: there is none.
    """
    if signature is None:
        return Signature("none")
    with tempfile.TemporaryDirectory(prefix="recipe-track-") as folder:
        signers, file = Path(folder) / "signers", Path(folder) / "signature"
        signers.write_text("".join(_signer_lines(keys)), encoding="utf-8")
        file.write_bytes(signature)
        named = ("-n", NAMESPACE, "-s", str(file))
        own = _run("-Y", "verify", "-f", str(signers), "-I", person.casefold(), *named, stdin=record)
        if own.returncode == 0:
            return Signature("good", person)
        # Without a list of signers it is asked whether the signature fits the bytes at all.
        fits = _run("-Y", "check-novalidate", *named, stdin=record)
    return Signature("unknown" if fits.returncode == 0 else "bad")


def _signer_lines(keys: Iterable[str]) -> Iterable[str]:
    """Lines for ssh-keygen; only plain addresses, since it takes `*` and `,` in one for a pattern."""
    for line in keys:
        match = _KEY.fullmatch(line.strip())
        if match and not set(match["mail"]) & set('*?!,"'):
            yield f'{match["mail"].casefold()} namespaces="{NAMESPACE}" {match["key"]}\n'


def _signing_key(repo: Repository) -> str:
    for scope in _OWN_SCOPES:
        answer = repo.run("config", scope, "--get", "user.signingKey")
        if answer.status == 0 and answer.out.strip():
            return os.fsdecode(answer.out).strip()
    raise Refused(
        "settings here ask for signed decisions, and you have named no key to sign with",
        "git config --global user.signingKey ~/.ssh/id_ed25519.pub, and have it listed in approval.keys",
    )


def _key_file(key: str, folder: Path) -> str:
    """The file of a key; one that is written out in the configuration is looked for at the ssh agent."""
    literal = key.removeprefix("key::")
    if literal == key and not key.startswith(("ssh-", "ecdsa-", "sk-")):
        return str(Path(key).expanduser())
    file = folder / "key.pub"
    file.write_text(f"{literal}\n", encoding="utf-8")
    return str(file)


def _run(*args: str, stdin: bytes = b"") -> subprocess.CompletedProcess[bytes]:
    try:
        return subprocess.run([PROGRAM, *args], input=stdin, capture_output=True, check=False)
    except FileNotFoundError as missing:
        raise Refused(
            "ssh-keygen was not found, which signs and verifies records", "install openssh-client"
        ) from missing
