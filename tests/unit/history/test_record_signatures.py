"""Signatures over records: by whom, with which key, over which bytes."""

import shutil
import subprocess
from pathlib import Path

import pytest

from recipe_track.errors import Refused
from recipe_track.history.record_signatures import sign_record, verify_record
from recipe_track.history.repository import create_repository, open_repository

pytestmark = pytest.mark.skipif(shutil.which("ssh-keygen") is None, reason="needs ssh-keygen")
RECORD = b'kind = "decision"\n'
BEN = "ben@quay.example"


def make_key(folder: Path, name: str) -> tuple[Path, str]:
    """A key pair without a passphrase: the private file and the public line."""
    path = folder / name
    subprocess.run(["ssh-keygen", "-q", "-t", "ed25519", "-N", "", "-f", str(path)], check=True)
    return path, path.with_suffix(".pub").read_text()


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A person's own configuration, empty so far."""
    config = tmp_path / "gitconfig"
    config.write_text("")
    monkeypatch.setenv("GIT_CONFIG_GLOBAL", str(config))
    create_repository(tmp_path / "yard", "main")
    return config


def signed(tmp_path: Path, home: Path, key: Path | str) -> bytes:
    home.write_text(f"[user]\n\tsigningKey = {key}\n")
    with open_repository(tmp_path / "yard") as repo:
        return sign_record(repo, RECORD)


def test_a_listed_key_proves_the_person(tmp_path: Path, home: Path) -> None:
    key, public = make_key(tmp_path, "ben")
    signature = signed(tmp_path, home, key)
    assert verify_record(RECORD, signature, BEN, [f"{BEN} {public}"]).verdict == "good"
    assert verify_record(RECORD, signature, "Ben@Quay.example", [f"BEN@quay.example {public}"]).signer


def test_other_bytes_or_no_signature_prove_nothing(tmp_path: Path, home: Path) -> None:
    key, public = make_key(tmp_path, "ben")
    signature, keys = signed(tmp_path, home, key), [f"{BEN} {public}"]
    assert verify_record(RECORD + b" ", signature, BEN, keys).verdict == "bad"
    assert verify_record(RECORD, b"not a signature", BEN, keys).verdict == "bad"
    assert verify_record(RECORD, None, BEN, keys).verdict == "none"


def test_a_key_proves_only_whom_it_is_listed_for(tmp_path: Path, home: Path) -> None:
    key, public = make_key(tmp_path, "ben")
    signature = signed(tmp_path, home, key)
    for keys in ([], [f"eve@quay.example {public}"], [f"*@quay.example {public}"], [public]):
        assert verify_record(RECORD, signature, BEN, keys).verdict == "unknown", keys


def test_the_key_is_the_persons_own_never_the_repositorys(tmp_path: Path, home: Path) -> None:
    key, _ = make_key(tmp_path, "eve")
    with open_repository(tmp_path / "yard") as repo:
        repo.git("config", "--local", "user.signingKey", str(key))
        with pytest.raises(Refused, match="no key to sign with"):
            sign_record(repo, RECORD)


def test_what_cannot_be_signed_is_refused(tmp_path: Path, home: Path) -> None:
    with pytest.raises(Refused, match="could not be signed"):
        signed(tmp_path, home, tmp_path / "missing")


def test_a_signature_over_something_else_is_none_over_a_record(tmp_path: Path, home: Path) -> None:
    key, public = make_key(tmp_path, "ben")
    file = tmp_path / "record"
    file.write_bytes(RECORD)
    subprocess.run(["ssh-keygen", "-q", "-Y", "sign", "-n", "git", "-f", str(key), str(file)], check=True)
    elsewhere = file.with_name("record.sig").read_bytes()
    assert verify_record(RECORD, elsewhere, BEN, [f"{BEN} {public}"]).verdict == "bad"
