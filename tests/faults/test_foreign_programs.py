"""No configuration of a repository makes a command start its programs, or reach the network; clean filters may."""

import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.faults.commands import (
    NOT_WALKED,
    Prepared,
    name_of,
    names,
    prepare,
    prepared,
    reading,
    who_calls,
    writing,
)
from tests.journeys.gitrepo import GitRepo
from tests.journeys.test_audit_signatures import key_pair, line_of, signing
from tests.journeys.yard import Yard

# Every key of git's configuration that names a program which some command of git may start (git help config,
# git 2.39 and 2.51), and the hooks of githooks(5).
KEYS = (
    "core.fsmonitor", "core.sshCommand", "core.gitProxy", "core.askPass", "core.editor", "core.pager",
    "core.alternateRefsCommand", "credential.helper", "sequence.editor", "interactive.diffFilter",
    "diff.external", "diff.evil.command", "diff.evil.textconv", "merge.evil.driver",
    "merge.recipe-track.driver", "gpg.program", "gpg.openpgp.program", "gpg.x509.program", "gpg.ssh.program",
    "gpg.ssh.defaultKeyCommand", "uploadpack.packObjectsHook", "remote.origin.uploadpack",
    "remote.origin.receivepack", "gc.recentObjectsHook", "submodule.x.update", "sendemail.toCmd",
    "browser.evil.cmd", "pager.log", "pager.config", "alias.log", "alias.show",
)  # fmt: skip
HOOKS = (
    "applypatch-msg", "pre-applypatch", "post-applypatch", "pre-commit", "pre-merge-commit", "prepare-commit-msg",
    "commit-msg", "post-commit", "pre-rebase", "post-checkout", "post-merge", "pre-push", "post-rewrite",
    "reference-transaction", "post-index-change", "pre-auto-gc", "fsmonitor-watchman", "push-to-checkout",
)  # fmt: skip
FILTERS = {"filter.evil.clean", "filter.evil.smudge"}


class Marks:
    """A program under many names, each of which leaves a mark when it is started."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._left = folder / "left"
        self._left.mkdir(parents=True)

    def program(self, name: str) -> str:
        """The program that leaves a mark of this name, and passes on what it is fed."""
        file = self.folder / name
        file.write_text(f'#!/bin/sh\n: > "{self._left}/{name}"\nexec cat\n')
        file.chmod(0o755)
        return str(file)

    def taken(self) -> set[str]:
        """The marks left since they were last looked at."""
        left = {file.name for file in self._left.iterdir()}
        for name in left:
            (self._left / name).unlink()
        return left


def hostile(repo: GitRepo, marks: Marks, hooks: str) -> None:
    """Name the program everywhere, in the repository's own configuration, attributes and hooks."""
    for key in (*KEYS, *sorted(FILTERS)):
        value = marks.program(key)
        repo.git("config", key, f"!{value}" if key.startswith(("alias.", "submodule.")) else value)
    for key, value in {
        "protocol.allow": "always", "protocol.ext.allow": "always", "log.showSignature": "true",
        "commit.gpgSign": "false", "index.threads": "1", "submodule.recurse": "true",
        "remote.origin.url": f"ext::{marks.program('remote.origin.url')}", "remote.origin.promisor": "true",
        "remote.origin.partialclonefilter": "blob:none",
    }.items():  # fmt: skip
        repo.git("config", key, value)
    repo.write(".git/info/attributes", "* diff=evil merge=evil filter=evil\n")
    folder = repo.root.parent / "hooks" if hooks == "elsewhere" else repo.root / ".git/hooks"
    folder.mkdir(exist_ok=True)
    for hook in HOOKS:
        shutil.copy(marks.program(hook), folder / hook)
    if hooks == "elsewhere":
        repo.git("config", "core.hooksPath", str(folder))
    marks.taken()


@pytest.fixture
def marks(tmp_path: Path) -> Marks:
    return Marks(tmp_path / "marks")


def walked(one: Prepared, marks: Marks, ben: dict[str, str]) -> Iterator[tuple[str, bool, set[str]]]:
    """Each command, whether it writes, and the marks that it left."""
    for args in reading(one):
        said = one.yard(*args)
        assert said.status in (0, 1), (args, said.err)
        yield name_of(args), False, marks.taken()
    for args in writing(one):
        marks.taken()  # of git's own runs between the commands
        said = one.yard(*args, who=who_calls(args), **(ben if who_calls(args) == "ben" else {}))
        assert said.status in (0, 1), (args, said.err)
        assert "Traceback" not in said.err
        yield name_of(args), True, marks.taken()


@pytest.mark.skipif(shutil.which("ssh-keygen") is None, reason="needs ssh-keygen")
def test_no_command_starts_what_the_repository_names(tmp_path: Path, marks: Marks) -> None:
    """Signed decisions and releases among them, so that signatures are made and verified."""
    key = key_pair(tmp_path / "ben")
    (tmp_path / "home").mkdir()
    ben = signing(Yard(GitRepo(tmp_path / "yard", tmp_path / "home")), key)
    signed = f'[approval]\nsigned = true\nkeys = ["{line_of("ben", key)}"]\n'
    one = prepare(tmp_path, signed, ben)
    hostile(one.yard.repo, marks, "elsewhere")
    started = {
        (name, mark)
        for name, writes, left in walked(one, marks, ben)
        for mark in left - (FILTERS if writes else set())
    }
    assert started == set()


def test_hooks_that_lie_in_the_repository_are_not_run(tmp_path: Path, marks: Marks) -> None:
    one = prepared(tmp_path)
    hostile(one.yard.repo, marks, "here")
    assert one.yard("change", "approve", one.ids["open"], who="ben").status == 0
    settled = ("--decision", "refused", "--note", "laid again")
    assert one.yard("deviation", "decide", one.ids["deviation"], *settled, who="ben").status == 0
    assert one.yard("release", "demo", who="ben").status == 0
    assert marks.taken() <= FILTERS
    one.yard.repo.git("commit", "--quiet", "--allow-empty", "-m", "by git itself")
    assert {"pre-commit", "reference-transaction", "core.fsmonitor"} <= marks.taken(), "the marks do come"


def test_every_command_is_walked(tmp_path: Path) -> None:
    one = prepared(tmp_path)
    assert {name_of(args) for args in (*reading(one), *writing(one))} == names() - NOT_WALKED


def partial(yard: Yard) -> Yard:
    """A clone that has the files of its last commit and no others."""
    yard.repo.git("config", "uploadpack.allowFilter", "true")
    return Yard(yard.repo.clone("partial", "--filter=blob:none"))


def test_what_a_partial_clone_lacks_is_named_and_not_fetched(tmp_path: Path, marks: Marks) -> None:
    one = prepared(tmp_path)
    lacking = partial(one.yard)
    objects = sorted((lacking.root / ".git/objects").rglob("*"))
    upload = marks.program("remote.origin.uploadpack")
    lacking.repo.git("config", "remote.origin.uploadpack", upload)
    refused = lacking("compare", "r1", "r2")
    assert refused.status == 3
    assert "git fetch --refetch" in refused.err
    for args in (("check",), ("figures",), ("audit",), ("history",), ("why", "deck/side"), ("hull", "list")):
        assert "Traceback" not in lacking(*args).err
    assert marks.taken() == set()
    assert sorted((lacking.root / ".git/objects").rglob("*")) == objects
    lacking.repo.git("config", "--unset", "remote.origin.uploadpack")
    command = (
        next(line for line in refused.err.splitlines() if "git fetch" in line).split(": ")[1].split(";")[0]
    )
    subprocess.run(command.split(), cwd=lacking.root, env=lacking.repo.env(), check=True, capture_output=True)
    assert lacking("compare", "r1", "r2").status == 0


@pytest.mark.parametrize("url", ["ext::{program}", "ssh://yard.example/x", "https://yard.example/x"])
def test_no_way_to_a_remote_is_open(tmp_path: Path, marks: Marks, url: str) -> None:
    lacking = partial(prepared(tmp_path).yard)
    for key, value in {
        "remote.origin.url": url.format(program=marks.program("ext")), "protocol.ext.allow": "always",
        "core.sshCommand": marks.program("ssh"), "credential.helper": marks.program("credential"),
        "protocol.https.allow": "always", "http.proxy": "http://127.0.0.1:1",
    }.items():  # fmt: skip
        lacking.repo.git("config", key, value)
    marks.taken()
    assert lacking("compare", "r1", "r2").status == 3
    assert marks.taken() == set()


@pytest.mark.skipif(shutil.which("ssh-keygen") is None, reason="needs ssh-keygen")
def test_a_program_of_the_repository_vouches_for_no_signature_and_one_s_own_does(tmp_path: Path) -> None:
    """A script that says "good" of everything; named by the repository it is not asked, by the person it is."""
    one = prepared(tmp_path)
    script = tmp_path / "says-good"
    script.write_text(
        "#!/bin/sh\necho 'Good \"git\" signature for ben@quay.example with ED25519 key SHA256:x'\n"
    )
    script.chmod(0o755)
    repo = one.yard.repo
    tag = (
        repo.git("cat-file", "tag", "demo/r2")
        + "\n-----BEGIN SSH SIGNATURE-----\nAAAA\n-----END SSH SIGNATURE-----\n"
    )
    forged = repo.git("hash-object", "-t", "tag", "-w", "--stdin", stdin=tag.encode())
    from recipe_track.history.repository import open_repository
    from recipe_track.history.signatures import verify_tag
    from tests.journeys.gitrepo import environment

    repo.git("config", "gpg.ssh.program", str(script))
    with repo.acting(), open_repository(repo.root) as opened:
        assert verify_tag(opened, forged, b"").verdict != "good"
    own = tmp_path / "own"
    own.write_text(f'[gpg "ssh"]\n\tprogram = {script}\n')
    with environment(repo.env() | {"GIT_CONFIG_GLOBAL": str(own)}), open_repository(repo.root) as opened:
        assert verify_tag(opened, forged, b"").verdict == "good", opened.run(
            "verify-tag", "--raw", forged
        ).err
