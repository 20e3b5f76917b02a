"""Signatures where settings ask for them: over the bytes of a record, beside it, by keys the state before names."""

import shutil
import subprocess
from pathlib import Path

import pytest

from tests.journeys.gitrepo import PEOPLE
from tests.journeys.yard import (
    SETTINGS,
    SIDE,
    Yard,
    change_record,
    change_text,
    decide,
    new_yard,
    only,
    record_path,
    record_text,
    thicken,
)

pytestmark = pytest.mark.skipif(shutil.which("ssh-keygen") is None, reason="needs ssh-keygen")
DECISION = record_path("D-AAAAAA")


def key_pair(folder: Path) -> Path:
    """An ssh key pair without a passphrase."""
    path = folder / "key"
    folder.mkdir(parents=True, exist_ok=True)
    subprocess.run(["ssh-keygen", "-q", "-t", "ed25519", "-N", "", "-f", str(path)], check=True)
    return path


def line_of(who: str, key: Path) -> str:
    """A key as `approval.keys` lists it."""
    return f"{PEOPLE[who][1]} {' '.join(key.with_suffix('.pub').read_text().split()[:2])}"


def signing(yard: Yard, key: Path) -> dict[str, str]:
    """The environment of someone whose own configuration names a key."""
    config = yard.repo.home / "gitconfig"
    config.write_text(f"[user]\n\tsigningKey = {key}\n[gpg]\n\tformat = ssh\n")
    signers = yard.repo.home / "signers"
    return {"GIT_CONFIG_GLOBAL": str(config), "SIGNERS": str(signers)}


def sign(path: Path, key: Path) -> None:
    """Sign a record by hand."""
    subprocess.run(
        ["ssh-keygen", "-Y", "sign", "-q", "-n", "recipe-track", "-f", str(key), str(path)],
        check=True, capture_output=True,
    )  # fmt: skip


@pytest.fixture
def strict(tmp_path: Path) -> tuple[Yard, Path]:
    """A yard that asks for signatures and lists Ben's key from its first day on."""
    key = key_pair(tmp_path / "ben")
    approval = f'[approval]\nsigned = true\nkeys = ["{line_of("ben", key)}"]\n'
    return new_yard(tmp_path, settings=f"{SETTINGS}\n{approval}", hull=False), key


def proposal(yard: Yard) -> str:
    thicken(yard)
    return yard(
        "change", "propose", "--title", "t", "--reason", "too soft underfoot", "--category", "layup"
    ).id


def test_a_signed_decision_is_in_order_and_survives_a_squash(strict: tuple[Yard, Path]) -> None:
    yard, key = strict
    first = yard.repo.head("main")
    change = proposal(yard)
    decision = yard("change", "approve", change, who="ben", **signing(yard, key))
    assert decision.status == 0, decision.err
    assert decision.err.endswith("signed\n")
    path = record_path(decision.id)
    assert yard.repo.show("main", f"{path}.sig").startswith(b"-----BEGIN SSH SIGNATURE-----")
    assert yard("change", "show", change, "--json").json["proof"] == "signed by ben@quay.example"
    assert yard.findings() == {}
    yard.repo.branch("squashed", first)
    yard.repo.git("merge", "--quiet", "--squash", "main")
    yard.repo.commit(
        "Thicker core", who="ada"
    )  # a decision of Ben's that Ada brings, and his signature with it
    yard.repo.git("branch", "--force", "main")
    yard.repo.checkout("main")
    assert yard.findings() == {}
    assert yard("change", "show", change, "--json").json["state"] == "approved"


@pytest.mark.parametrize("missing", ["key", "name"])
def test_without_a_key_nothing_is_decided(strict: tuple[Yard, Path], missing: str) -> None:
    yard, key = strict
    change = proposal(yard)
    values = signing(yard, key) if missing == "key" else {}
    key.unlink()
    main = yard.repo.head("main")
    refused = yard("change", "approve", change, who="ben", **values)
    assert refused.status == 1
    assert ("could not be signed" if missing == "key" else "named no key") in refused.err
    assert yard.repo.head("main") == main
    assert yard.repo.git("status", "--porcelain").split() == ["M", SIDE]


def test_a_key_that_nobody_listed_is_refused(strict: tuple[Yard, Path], tmp_path: Path) -> None:
    yard, _ = strict
    change = proposal(yard)
    refused = yard("change", "approve", change, who="ben", **signing(yard, key_pair(tmp_path / "other")))
    assert refused.status == 1
    assert "nobody vouches for your key" in refused.err


def test_the_configuration_of_the_repository_names_no_key(strict: tuple[Yard, Path]) -> None:
    """A clone cannot make its owner sign with a file that came with it."""
    yard, key = strict
    change = proposal(yard)
    yard.repo.git("config", "user.signingKey", str(key))
    assert "named no key" in yard("change", "approve", change, who="ben").err


def test_an_unsigned_decision_has_no_effect(strict: tuple[Yard, Path]) -> None:
    yard, key = strict
    change_record(yard)
    decide(yard, "C-AAAAAA", "approved", "D-AAAAAA")
    finding = only(yard.findings(), "signature-missing")
    assert finding["subject"] == "D-AAAAAA"
    assert "no effect" in finding["message"]
    assert yard("change", "show", "C-AAAAAA", "--json").json["state"] == "proposed"
    answered_with = yard(
        "action", "record", finding["id"], "--cause", "in a hurry", "--done", "asked again", who="ben",
        **signing(yard, key),
    )  # fmt: skip
    assert answered_with.status == 1  # whose doing it was
    again = yard("change", "approve", "C-AAAAAA", who="ben", **signing(yard, key))
    assert again.status == 0, again.err
    assert yard("change", "show", "C-AAAAAA", "--json").json["state"] == "approved"
    assert yard.findings() == {}


def test_a_signature_that_does_not_fit_or_is_anothers(strict: tuple[Yard, Path], tmp_path: Path) -> None:
    yard, key = strict
    change_record(yard)
    decide(yard, "C-AAAAAA", "approved", "D-AAAAAA")
    yard.repo.git("reset", "--quiet", "--soft", "HEAD~1")
    file = yard.root / DECISION
    text = file.read_bytes()
    file.write_bytes(text + b"# other bytes\n")
    sign(file, key)
    file.write_bytes(text)
    yard.repo.commit("D-AAAAAA", who="ben")
    assert only(yard.findings(), "signature-invalid")["subject"] == "D-AAAAAA"
    yard.repo.git("reset", "--quiet", "--soft", "HEAD~1")
    (yard.root / f"{DECISION}.sig").unlink()
    sign(file, key_pair(tmp_path / "cem"))
    yard.repo.commit("D-AAAAAA", who="ben")
    assert only(yard.findings(), "signature-invalid")["subject"] == "D-AAAAAA"
    yard.repo.git("reset", "--quiet", "--soft", "HEAD~1")
    (yard.root / f"{DECISION}.sig").unlink()
    sign(file, key)
    yard.repo.commit("D-AAAAAA", who="ben")
    assert yard.findings() == {}


def test_a_key_counts_only_once_the_state_before_lists_it(strict: tuple[Yard, Path], tmp_path: Path) -> None:
    """A commit cannot vouch for its own signer."""
    yard, _ = strict
    stranger = key_pair(tmp_path / "cem")
    change_record(yard)
    decide(yard, "C-AAAAAA", "approved", "D-AAAAAA", who="cem")
    yard.repo.git("reset", "--quiet", "--soft", "HEAD~1")
    listed = (yard.root / "recipe-track.toml").read_text().replace(
        "keys = [", f'keys = ["{line_of("cem", stranger)}", '
    )  # fmt: skip
    yard.repo.write("recipe-track.toml", listed)
    sign(yard.root / DECISION, stranger)
    yard.repo.commit("approve and vouch for myself", who="cem")
    found = yard.findings()
    assert sorted(found) == ["edit-not-decided", "signature-invalid"]
    assert found["signature-invalid"][0]["subject"] == "D-AAAAAA"


@pytest.fixture
def held(strict: tuple[Yard, Path]) -> tuple[Yard, Path, str]:
    """Hull 001 is in the mould, and what was seen on it puts a zone on hold; the observation's id."""
    yard, key = strict
    yard.repo.home.mkdir(exist_ok=True)
    assert yard("release", "demo", "--from-hull", "001", who="ben", **signing(yard, key)).status == 0
    assert yard("hull", "add", "001", "--revision", "r1", "--state", "in-build").status == 0
    assert yard("hull", "part", "001", "--part", "deck", "--state", "in-mould").status == 0
    assert yard("change", "approve", proposal(yard), who="ben", **signing(yard, key)).status == 0
    seen = ("--observation", "noise", "--severity", "4", "--text", "it cracks loudly")
    return yard, key, yard("trial", "log", "--hull", "001", "--zone", "deck/side", *seen).id


def lifted(yard: Yard, trial: str, key: Path | None) -> None:
    """A decision by hand that answers an observation, signed with a key or not at all."""
    said = {"kind": "decision", "about": trial, "decision": "left-as-is", "note": "it is the clamp"}
    yard.repo.write(DECISION, record_text("ben", yard.repo.today, **said))
    if key is not None:
        sign(yard.root / DECISION, key)
    yard.repo.commit("D-AAAAAA", "records", who="ben")


def told(yard: Yard, key: Path, trial: str) -> dict[str, bool]:
    """Whether the hold is told, by every answer that tells of holds."""
    main = yard.repo.head("main")
    answers = {
        "figures": "HOLD" in yard("figures", "deck/side").out,
        "figures json": trial in str(yard("figures", "--json").json["zones"]),
        "hull list": trial in yard("hull", "list").out,
        "hull show": trial in str(yard("hull", "show", "001", "--json").json["holds"]),
        "trial list": yard("trial", "list", "--json").json["trials"][0]["state"] == "open",
        "trial show": yard("trial", "show", trial, "--json").json["state"] == "open",
        "sheet": "HOLD" in yard("sheet", "deck", "--hull", "001").out,
        "bill": "HOLD" in yard("bill", "deck").out,
        "compare": trial in yard("compare", "r1", "working", "--json").out,
        "history": trial in yard("history", "deck/side", "--json").out,
        "audit": "hold" in {one["rule"] for one in yard("audit", "--json").json["findings"]},
        "release": "on hold" in yard("release", "demo", "--dry-run", who="ben", **signing(yard, key)).err,
    }
    assert yard.repo.head("main") == main
    return answers


def test_a_decision_without_a_valid_signature_lifts_no_hold_anywhere(
    held: tuple[Yard, Path, str], tmp_path: Path
) -> None:
    yard, key, trial = held
    before = told(yard, key, trial)
    assert all(before.values()), before
    for signer in (None, key_pair(tmp_path / "cem")):
        lifted(yard, trial, signer)
        assert told(yard, key, trial) == before
        yard.repo.git("reset", "--quiet", "--soft", "HEAD~1")
        (yard.root / f"{DECISION}.sig").unlink(missing_ok=True)
    yard.repo.git("rm", "--quiet", "--cached", "-r", "--ignore-unmatch", f"{DECISION}.sig")
    lifted(yard, trial, key)
    assert not any(told(yard, key, trial).values())


def test_an_unsigned_approval_of_a_change_that_lists_it_lifts_no_hold(held: tuple[Yard, Path, str]) -> None:
    yard, key, trial = held
    before = told(yard, key, trial)
    text = change_text("ada", yard.repo.today).replace("\nby =", f'\ntrials = ["{trial}"]\nby =')
    yard.repo.commit("C-AAAAAA", files={record_path("C-AAAAAA"): text})
    decide(yard, "C-AAAAAA", "approved", "D-AAAAAA")
    assert told(yard, key, trial) == before


def test_a_hold_that_only_an_unsigned_decision_lifted_was_passed_over_by_a_release(
    held: tuple[Yard, Path, str],
) -> None:
    yard, _key, trial = held
    lifted(yard, trial, None)
    yard.repo.tag("demo/r2", who="ben")
    assert yard.findings()["hold-ignored"][0]["subject"] == "demo/r2"


def test_a_shallow_clone_asks_for_signatures_where_it_ends(
    held: tuple[Yard, Path, str], tmp_path: Path
) -> None:
    yard, _key, trial = held
    lifted(yard, trial, None)
    shallow = yard.repo.clone("shallow", "--depth", "1")
    assert trial in Yard(shallow)("hull", "show", "001", "--json").out.split('"holds"')[1]


def test_a_line_that_began_beside_the_recipe_goes_round_no_settings(held: tuple[Yard, Path, str]) -> None:
    yard, key, trial = held
    before = told(yard, key, trial)
    yard.repo.git("checkout", "--quiet", "--orphan", "beside")
    yard.repo.git("rm", "-r", "--quiet", "--cached", ".")
    clock, yard.repo.clock = yard.repo.clock, 0
    said = {"kind": "decision", "about": trial, "decision": "left-as-is", "note": "it is the clamp"}
    yard.repo.commit(
        "D-AAAAAA", DECISION, files={DECISION: record_text("ben", "2026-01-02", **said)}, who="ben"
    )
    yard.repo.clock = clock
    yard.repo.git("checkout", "--quiet", "--force", "main")
    yard.repo.git("merge", "--quiet", "--allow-unrelated-histories", "-m", "both", "beside", who="ben")
    assert told(yard, key, trial) == before


def test_an_action_is_signed_too(strict: tuple[Yard, Path]) -> None:
    yard, key = strict
    yard.repo.branch("aside")
    thicken(yard)
    yard.repo.tag("demo/r7", yard.repo.commit("aside"), who="ada")
    yard.repo.checkout("main")
    finding = only(yard.findings(), "release-off-main")
    about = ("action", "record", finding["id"], "--cause", "c", "--done", "d")
    assert yard(*about, who="ben").status == 1
    assert yard(*about, who="ben", **signing(yard, key)).status == 0
    assert yard.findings() == {}


def test_a_release_that_nobody_signed(strict: tuple[Yard, Path]) -> None:
    """By the command it is signed; a tag put there by hand is told until it is signed, too."""
    yard, key = strict
    assert yard.findings() == {}
    released = yard("release", "demo", who="ben", **signing(yard, key))
    assert released.id == "r1", released.err
    assert yard.findings() == {}
    yard.repo.git("tag", "-d", "demo/r1")
    yard.repo.tag("demo/r1", "main")
    finding = only(yard.findings(), "signature-missing")
    assert (finding["subject"], finding["by"]) == ("demo/r1", "Ada Quay <ada@quay.example>")
    yard.repo.git("tag", "-d", "demo/r1")
    other = key_pair(yard.repo.home / "other")
    for used, expected in ((other, ["signature-invalid"]), (key, [])):
        values = yard.repo.env("ben") | signing(yard, used)
        command = ["git", "tag", "-f", "-s", "-m", "first hull 001", "demo/r1", "main"]
        subprocess.run(command, cwd=yard.root, env=values, check=True, capture_output=True)
        assert list(yard.findings()) == expected
