"""Signatures where settings ask for them: who vouches is said by the state before the commit."""

import subprocess
from pathlib import Path

import pytest

from tests.journeys.gitrepo import PEOPLE
from tests.journeys.yard import SETTINGS, SIDE, Yard, change_record, decide, new_yard, only, thicken


def keys(folder: Path) -> Path:
    """An ssh key pair without a passphrase."""
    path = folder / "key"
    folder.mkdir(parents=True, exist_ok=True)
    subprocess.run(["ssh-keygen", "-q", "-t", "ed25519", "-N", "", "-f", str(path)], check=True)
    return path


def configure(yard: Yard, key: Path) -> None:
    yard.repo.git("config", "gpg.format", "ssh")
    yard.repo.git("config", "user.signingKey", str(key))


@pytest.fixture
def strict(tmp_path: Path) -> tuple[Yard, Path]:
    """A yard that asks for signatures and vouches for Ben's key."""
    yard = new_yard(tmp_path)
    key = keys(tmp_path / "ben")
    public = key.with_suffix(".pub").read_text()
    yard.repo.write(".allowed_signers", f"{PEOPLE['ben'][1]} {public}")
    yard.repo.write("recipe-track.toml", SETTINGS + "\n[approval]\nsigned = true\n")
    yard.repo.commit("ask for signatures")
    configure(yard, key)
    return yard, key


def test_signed_decisions_and_releases_are_in_order(strict: tuple[Yard, Path]) -> None:
    yard, _ = strict
    thicken(yard)
    change = yard.change()
    assert yard("change", "show", change, "--json").json["proof"] == "signed by ben@quay.example"
    assert yard("release", "demo", who="ben").id == "r2"
    assert yard.findings() == {}


def test_without_a_key_nothing_is_decided(strict: tuple[Yard, Path]) -> None:
    yard, key = strict
    thicken(yard)
    change = yard(
        "change", "propose", "--title", "t", "--reason", "too soft underfoot", "--category", "layup"
    ).id
    key.unlink()
    main = yard.repo.head("main")
    refused = yard("change", "approve", change, who="ben")
    assert refused.status == 1
    assert "could not be signed" in refused.err
    assert yard.repo.head("main") == main
    assert yard.repo.git("status", "--porcelain").split() == ["M", SIDE]


def test_an_unsigned_decision_and_release(strict: tuple[Yard, Path]) -> None:
    yard, _ = strict
    change_record(yard)
    decide(yard, "C-AAAAAA", "approved", "D-AAAAAA")
    assert only(yard.findings(), "signature-missing")["subject"] == "D-AAAAAA about C-AAAAAA"
    yard.repo.tag("demo/r2")
    assert {f["subject"] for f in yard.findings()["signature-missing"]} == {
        "D-AAAAAA about C-AAAAAA",
        "demo/r2",
    }


def test_a_key_counts_only_once_the_state_before_names_it(strict: tuple[Yard, Path], tmp_path: Path) -> None:
    """A commit cannot vouch for its own signer."""
    yard, _ = strict
    stranger = keys(tmp_path / "cem")
    configure(yard, stranger)
    change_record(yard)
    public = stranger.with_suffix(".pub").read_text()
    signers = (yard.root / ".allowed_signers").read_text()
    yard.repo.write(".allowed_signers", f"{signers}{PEOPLE['cem'][1]} {public}")
    name, mail = PEOPLE["cem"]
    yard.repo.write(
        "records/2026/D-AAAAAA.toml",
        f'kind = "decision"\nby = "{name} <{mail}>"\non = 2026-02-02\nabout = "C-AAAAAA"\ndecision = "approved"\n',
    )
    yard.repo.git("add", "--all")
    yard.repo.git("commit", "--quiet", "-S", "-m", "approve and vouch for myself", who="cem")
    assert "nobody vouches for" in only(yard.findings(), "signature-invalid")["message"]
    change_record(yard, "C-BBBBBB")
    yard.repo.write(
        "records/2026/D-BBBBBB.toml",
        f'kind = "decision"\nby = "{name} <{mail}>"\non = 2026-02-02\nabout = "C-BBBBBB"\ndecision = "approved"\n',
    )
    yard.repo.git("add", "--all")
    yard.repo.git("commit", "--quiet", "-S", "-m", "approve, vouched for", who="cem")
    assert [f["subject"] for f in yard.findings()["signature-invalid"]] == ["D-AAAAAA about C-AAAAAA"]


def test_a_decision_signed_by_someone_else_than_it_names(strict: tuple[Yard, Path]) -> None:
    yard, _ = strict
    change_record(yard)
    name, mail = PEOPLE["cem"]
    yard.repo.write(
        "records/2026/D-AAAAAA.toml",
        f'kind = "decision"\nby = "{name} <{mail}>"\non = 2026-02-02\nabout = "C-AAAAAA"\ndecision = "approved"\n',
    )
    yard.repo.git("add", "--all")
    yard.repo.git("commit", "--quiet", "-S", "-m", "in the name of another", who="ben")
    assert "signed by ben@quay.example" in only(yard.findings(), "signature-invalid")["message"]
