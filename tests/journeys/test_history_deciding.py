"""Proposals on branches of their own, approvals as one merge, releases as tags, and whose signature they carry."""

import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from recipe_track.errors import CallError, Refused, RepositoryError
from recipe_track.history import commit_to_main as commits_module
from recipe_track.history.commit_to_main import commit_record
from recipe_track.history.log import merged, walk
from recipe_track.history.merges import approve, merge_preview
from recipe_track.history.objects import read_files, tree
from recipe_track.history.proposals import Proposal, already_proposed, propose, work_changes
from recipe_track.history.refs import create_release, read_refs
from recipe_track.history.repository import Repository, open_repository
from recipe_track.history.signatures import Signature, verify_commits, verify_tag
from tests.journeys.gitrepo import GitRepo

DECK, HULL, PRICES = "models/pb/deck/deck-support.toml", "models/pb/hull/bottom.toml", "prices.toml"
CHANGE, DECISION = "records/2026/C-2M9XQ4.toml", "records/2026/D-7K3QX2.toml"
FILES = {
    path: f"{path}\n" + "line\n" * 8
    for path in (DECK, HULL, PRICES, "materials/a.toml", "README.md", "other")
}


@pytest.fixture
def yard(tmp_path: Path) -> GitRepo:
    """A repository with a model on main, and settings that ignore backups."""
    repo = GitRepo.create(tmp_path)
    repo.commit("First issue", files=FILES | {".gitignore": "*~\n"})
    return repo


def put_forward(yard: GitRepo, change: str = "C-2M9XQ4", who: str = "ben") -> Proposal:
    """Propose whatever differs from main."""
    with yard.acting(who), open_repository(yard.root) as repo:
        records = {f"records/2026/{change}.toml": b"kind = 'change'\n"}
        return propose(
            repo, "main", change, work_changes(repo, "main"), records, f"Stiffen\n\nChange: {change}\n"
        )


def accept(yard: GitRepo, branch: str, check: Callable[[str], None] | None = None) -> str:
    """Approve a change as someone else."""
    with yard.acting("cem"), open_repository(yard.root) as repo:
        records = {DECISION: b"kind = 'decision'\n"}
        return approve(repo, "main", branch, records, "Approve\n\nChange: C-2M9XQ4\n", check=check)


def edit_recipe(yard: GitRepo) -> None:
    """Every kind of edit of a recipe, and other work beside it."""
    yard.write(DECK, "unstaged\n")
    yard.write(HULL, "staged\n")
    yard.git("add", HULL)
    yard.write('models/pb/deck/Neü "1".toml', "untracked\n")
    yard.write("models/pb/deck/new.toml~", "ignored\n")
    yard.git("rm", "--quiet", PRICES)
    (yard.root / "materials/a.toml").unlink()
    yard.write("README.md", "no recipe\n")
    yard.write("records/2026/T-AAAAAA.toml", "no recipe either\n")


def test_what_differs_from_main_is_told_whatever_its_state(yard: GitRepo) -> None:
    edit_recipe(yard)
    with yard.acting(), open_repository(yard.root / "models") as repo:
        found = [
            (change.status, change.path, change.data, change.behind) for change in work_changes(repo, "main")
        ]
    assert found == [
        ("deleted", "materials/a.toml", None, False),
        ("added", 'models/pb/deck/Neü "1".toml', b"untracked\n", False),
        ("modified", DECK, b"unstaged\n", False),
        ("modified", HULL, b"staged\n", False),
        ("deleted", PRICES, None, False),
    ]


def test_line_ends_alone_and_links_of_editors_are_no_difference(yard: GitRepo) -> None:
    yard.write(".gitattributes", "*.toml text eol=lf\nmodels/pb/hull/* text eol=crlf\n")
    yard.git("config", "core.safecrlf", "true")
    yard.write(DECK, FILES[DECK].replace("\n", "\r\n"))
    (yard.root / "models/pb/deck/.#deck-support.toml").symlink_to("ben@host.1234")
    with yard.acting(), open_repository(yard.root) as repo:
        assert work_changes(repo, "main") == ()
        yard.write(HULL, "with plain line ends\n")
        assert [change.data for change in work_changes(repo, "main")] == [b"with plain line ends\n"]
        (yard.root / HULL).unlink()
        (yard.root / HULL).symlink_to("/etc/passwd")
        with pytest.raises(Refused, match="links") as refused:
            work_changes(repo, "main")
    assert refused.value.details == (HULL,)


def test_a_proposal_is_one_commit_on_a_branch_and_nothing_else(yard: GitRepo) -> None:
    edit_recipe(yard)
    before, main = yard.state(), yard.head()
    proposal = put_forward(yard)
    assert (yard.state(), yard.head("main")) == (before, main)
    assert proposal.branch == "change/C-2M9XQ4"
    assert (yard.head(proposal.branch), yard.head(f"{proposal.commit}^")) == (proposal.commit, main)
    told = yard.git("diff-tree", "-r", "-z", "--name-status", "--no-commit-id", proposal.commit).split("\0")
    assert dict(zip(told[1::2], told[::2], strict=False)) == {
        "materials/a.toml": "D", DECK: "M", "models/pb/deck/Neü \"1\".toml": "A", HULL: "M", PRICES: "D", CHANGE: "A",
    }  # fmt: skip
    assert yard.show(proposal.commit, DECK) == b"unstaged\n"
    assert yard.git("for-each-ref", "--format=%(refname)").split() == [
        "refs/heads/change/C-2M9XQ4", "refs/heads/main"
    ]  # fmt: skip


def test_a_proposal_from_another_branch_or_worktree_starts_at_main(yard: GitRepo) -> None:
    yard.branch("feature")
    yard.commit("ahead of main", files={DECK: "feature\n"})
    linked = yard.worktree("linked", "--detach", "main")
    linked.write(HULL, "linked\n")
    before = yard.state(), linked.state()
    first, second = put_forward(yard), put_forward(linked, "C-3M9XQ4")
    assert (yard.state(), linked.state()) == before
    assert yard.head(f"{first.commit}^") == yard.head(f"{second.commit}^") == yard.head("main")
    assert set(first.paths) == {DECK, CHANGE}
    assert set(second.paths) == {HULL, "records/2026/C-3M9XQ4.toml"}


def test_refused_where_head_is_behind_main_on_such_a_path(yard: GitRepo) -> None:
    yard.branch("feature")
    yard.checkout("main")
    yard.commit("main goes on", files={DECK: "main\n"})
    yard.checkout("feature")
    yard.write(HULL, "mine\n")
    with yard.acting(), open_repository(yard.root) as repo:
        found = {change.path: change.behind for change in work_changes(repo, "main")}
    assert found == {DECK: True, HULL: False}
    with pytest.raises(Refused, match="gone on") as refused:
        put_forward(yard)
    assert refused.value.details == (DECK,)
    assert yard.run("rev-parse", "--verify", "change/C-2M9XQ4").returncode != 0
    yard.git("merge", "--quiet", "main")
    assert set(put_forward(yard).paths) == {HULL, CHANGE}


def test_what_is_proposed_already_is_told(yard: GitRepo) -> None:
    yard.write(DECK, "first\n")
    (yard.root / PRICES).unlink()
    put_forward(yard)
    yard.write(HULL, "second\n")
    with yard.acting(), open_repository(yard.root) as repo:
        changes = work_changes(repo, "main")
        branches = read_refs(repo, "main").changes
        assert already_proposed(repo, "main", changes, branches) == {DECK: "C-2M9XQ4", PRICES: "C-2M9XQ4"}
        assert already_proposed(repo, "main", changes, ()) == {}
        yard.write(DECK, "first, edited again\n")
        assert already_proposed(repo, "main", work_changes(repo, "main"), branches) == {PRICES: "C-2M9XQ4"}


def test_refused_with_nothing_to_propose_twice_the_id_or_no_files(yard: GitRepo) -> None:
    with pytest.raises(Refused, match="nothing to propose"):
        put_forward(yard)
    yard.write(DECK, "x\n")
    first = put_forward(yard)
    with pytest.raises(Refused, match="cannot be started"):
        put_forward(yard)
    assert yard.head(first.branch) == first.commit
    for hostile in ("C-../../x", "--delete", "C-2M9XQ", "c-2m9xq4", "C-2M9XQI"):
        with pytest.raises(CallError):
            put_forward(yard, hostile)
    bare = yard.clone("bare.git", "--bare")
    with pytest.raises(Refused, match="bare"):
        put_forward(bare)


def test_an_approval_is_one_merge_with_its_record(yard: GitRepo) -> None:
    yard.tag("pb/r1")
    yard.write(DECK, "stiffer\n")
    proposal = put_forward(yard)
    main = yard.commit("prices go on", PRICES, files={PRICES: "new prices\n"})
    yard.branch("elsewhere")
    before = yard.state()
    seen: list[dict[str, str]] = []
    with yard.acting(), open_repository(yard.root) as repo:
        preview = tree(repo, merge_preview(repo, "main", proposal.commit))
        commit = accept(yard, proposal.commit, lambda merge: seen.append(tree(repo, merge)))
        assert yard.state() == before
        decided = yard.head(f"{commit}^2")
        assert yard.git("log", "-1", "--format=%P %an", commit) == f"{main} {decided} Cem Keel"
        assert yard.git("log", "-1", "--format=%P %an", decided) == f"{proposal.commit} Cem Keel"
        contents = read_files(repo, commit, DECK, PRICES, CHANGE, DECISION)
        step = walk(repo, "main")[0]
        assert (step.id, step.trailer("Change")) == (commit, ("C-2M9XQ4",))
        assert [change.path for change in step.changes] == [DECK, CHANGE, DECISION]
        assert [inside.id for inside in merged(repo, step)] == [decided, proposal.commit]
        assert seen == [tree(repo, commit)]
        assert preview == {path: oid for path, oid in seen[0].items() if path != DECISION}
    assert contents[DECK] == b"stiffer\n"
    assert contents[PRICES] == b"new prices\n"
    with pytest.raises(Refused, match="holds this change already"):
        accept(yard, proposal.commit)


def test_an_approval_brings_the_checked_out_main_along(yard: GitRepo) -> None:
    edit_recipe(yard)
    proposal = put_forward(yard)
    linked = yard.worktree("linked", "--force", "main")
    linked.write("README.md", "in progress\n")
    linked.write("other", "staged\n")
    linked.git("add", "other")
    yard.write(HULL, FILES[HULL])  # put back, but still staged as proposed
    paths = [*proposal.paths, DECISION]
    before, there = yard.state(paths), linked.state(paths)
    commit = accept(yard, proposal.commit)
    assert (yard.state(paths), linked.state(paths)) == (before, there)
    for place in (yard, linked):
        assert place.head() == commit
        assert place.git("status", "--porcelain", "--", "models", "materials", PRICES, CHANGE, DECISION) == ""
        assert (place.root / HULL).read_bytes() == b"staged\n"
        assert not (place.root / "materials/a.toml").exists()
    assert not (linked.root / "materials").exists(), "like git, it leaves no empty folder"
    linked.git("commit", "--quiet", "--all", "-m", "the next commit")
    assert linked.git("diff-tree", "-r", "--name-only", "--no-commit-id", "HEAD").split() == [
        "README.md",
        "other",
    ]


@pytest.mark.parametrize("staged", [False, True])
def test_an_approval_refuses_before_anything_moves_where_its_paths_are_edited(
    yard: GitRepo, staged: bool
) -> None:
    yard.write(DECK, "stiffer\n")
    yard.write("models/pb/deck/new.toml", "new\n")
    proposal = put_forward(yard)
    yard.write(DECK, "edited again\n")
    yard.write("models/pb/deck/new.toml", "another new one\n")
    if staged:
        yard.git("add", "models")
    before, main = yard.state(), yard.head()
    with pytest.raises(Refused, match="other work") as refused:
        accept(yard, proposal.commit)
    assert refused.value.details == (DECK, "models/pb/deck/new.toml")
    assert (yard.state(), yard.head()) == (before, main)


def test_a_conflict_refuses_with_its_paths(yard: GitRepo) -> None:
    yard.write(DECK, "one\n")
    proposal = put_forward(yard)
    yard.git("checkout", "--quiet", "--", ".")
    main = yard.commit("another way", DECK, files={DECK: "two\n"})
    before = yard.state()
    with pytest.raises(Refused, match="the same lines") as refused:
        accept(yard, proposal.commit)
    assert refused.value.details == (DECK,)
    assert (yard.state(), yard.head()) == (before, main)


def test_a_check_that_fails_stops_the_approval(yard: GitRepo) -> None:
    yard.write(DECK, "one\n")
    proposal = put_forward(yard)
    before, main = yard.state(), yard.head()

    def check(merge: str) -> None:
        raise Refused("no longer valid together")

    with pytest.raises(Refused, match="valid together"):
        accept(yard, proposal.commit, check)
    assert (yard.state(), yard.head()) == (before, main)


def test_no_setting_of_the_user_changes_a_merge(yard: GitRepo) -> None:
    yard.write(DECK, FILES[DECK] + "stiffer\n")
    proposal = put_forward(yard)
    yard.git("checkout", "--quiet", "--", ".")
    new = "models/pb/deck/flange.toml"
    yard.git("mv", DECK, new)
    yard.git("commit", "--quiet", "-m", "renamed")
    yard.git("config", "merge.renames", "false")
    yard.git("config", "diff.renames", "false")
    commit = accept(yard, proposal.commit)
    assert yard.show(commit, new).endswith(b"stiffer\n")


def test_an_approval_that_loses_the_race_is_merged_and_checked_again(
    yard: GitRepo, monkeypatch: pytest.MonkeyPatch
) -> None:
    yard.write(DECK, "stiffer\n")
    proposal = put_forward(yard)
    move_ref = commits_module.move_ref
    checked: list[str] = []
    others: list[str] = []

    def raced(repo: Repository, ref: str, new: str, old: str | None, message: str) -> bool:
        if not others:
            others.append(commit_elsewhere())
        return move_ref(repo, ref, new, old, message)

    def commit_elsewhere() -> str:
        path = "records/2026/T-AAAAAA.toml"
        yard.write(path, "t")
        yard.git("add", path)
        yard.git("commit", "--quiet", "-m", "in between", "--", path)
        return yard.head()

    monkeypatch.setattr(commits_module, "move_ref", raced)
    commit = accept(yard, proposal.commit, checked.append)
    assert yard.git("log", "-1", "--format=%P", commit) == f"{others[0]} {yard.head(f'{commit}^2')}"
    assert yard.head(f"{commit}^2~1") == proposal.commit
    assert len(set(checked)) == 2
    assert yard.git("status", "--porcelain") == ""
    assert yard.show(commit, "records/2026/T-AAAAAA.toml") == b"t"


KILLED = """
import os
from recipe_track.history import commit_to_main, worktrees
from recipe_track.history.merges import approve
from recipe_track.history.repository import open_repository
def killed(*args): os._exit(9)
{where} = killed
with open_repository(".") as repo:
    approve(repo, "main", {branch!r}, {{{record!r}: b"kind = 'decision'\\n"}}, "Approve")
"""


@pytest.mark.process
@pytest.mark.parametrize("where", ["worktrees.set_index", "commit_to_main.move_ref"])
def test_a_killed_approval_leaves_main_and_can_be_run_again(yard: GitRepo, where: str) -> None:
    edit_recipe(yard)
    proposal = put_forward(yard)
    paths = [*proposal.paths, DECISION]
    before, main = yard.state(paths), yard.head()
    code = KILLED.format(where=where, branch=proposal.commit, record=DECISION)
    env = yard.env("cem") | {"PYTHONPATH": str(Path(__file__).parents[2])}
    assert subprocess.run([sys.executable, "-c", code], cwd=yard.root, env=env, check=False).returncode == 9
    assert (yard.state(paths), yard.head()) == (before, main)
    commit = accept(yard, proposal.commit)
    assert (yard.state(paths), yard.head()) == (before, commit)
    assert yard.git("status", "--porcelain", "--", *paths) == ""


def test_old_git_reads_but_does_not_approve(yard: GitRepo) -> None:
    yard.write(DECK, "stiffer\n")
    proposal = put_forward(yard)
    with yard.acting(), open_repository(yard.root) as repo:
        repo.__dict__["git_version"] = (2, 37, 4)
        with pytest.raises(RepositoryError, match=r"2\.38 or newer, and this is 2\.37\.4"):
            merge_preview(repo, "main", proposal.commit)


def test_a_rejection_puts_the_records_on_main_and_not_the_edit(yard: GitRepo) -> None:
    edit_recipe(yard)
    proposal = put_forward(yard)
    before = yard.state()
    with yard.acting("cem"), open_repository(yard.root) as repo:
        records = read_files(repo, proposal.commit, CHANGE) | {DECISION: b"kind = 'decision'\n"}
        commit = commit_record(repo, "main", records, "Reject")
    assert yard.git("diff-tree", "-r", "--name-only", "--no-commit-id", commit).split() == [CHANGE, DECISION]
    assert yard.state(list(records)) == before


def test_a_release_is_an_annotated_tag_that_never_moves(yard: GitRepo) -> None:
    edit_recipe(yard)
    before = yard.state()
    with yard.acting("cem"), open_repository(yard.root) as repo:
        tag = create_release(repo, "pb", 1, yard.head(), "First hull 016\n\n# kept\n--force\n")
        with pytest.raises(Refused, match="released already"):
            create_release(repo, "pb", 1, yard.head(), "again")
        for model, n in (("--force", 1), ("pb", 0), ("../x", 1), ("PB", 1), ("pb\n", 1)):
            with pytest.raises(CallError):
                create_release(repo, model, n, yard.head(), "x")
        (release,) = read_refs(repo, "main").releases
        assert verify_tag(repo, tag, b"") == Signature("none")
    assert (release.tag_id, release.commit, release.label) == (tag, yard.head(), "r1")
    assert (release.message, release.tagger_mail) == ("First hull 016\n\n# kept\n--force", "cem@quay.example")
    assert yard.state() == before


needs_ssh_keygen = pytest.mark.skipif(
    shutil.which("ssh-keygen") is None, reason="ssh-keygen is not installed"
)
needs_gpg = pytest.mark.skipif(shutil.which("gpg") is None, reason="gpg is not installed")


def make_key(yard: GitRepo, who: str) -> str:
    """An ssh key that signs for someone; returns their line of the allowed signers."""
    key = yard.home / f"{who}-key"
    subprocess.run(["ssh-keygen", "-q", "-t", "ed25519", "-N", "", "-C", "", "-f", str(key)], check=True)
    yard.git("config", "gpg.format", "ssh")
    yard.git("config", "user.signingKey", str(key))
    return f"{who}@quay.example {key.with_suffix('.pub').read_text()}"


@needs_ssh_keygen
def test_ssh_signatures_are_verified_against_the_signers_given(yard: GitRepo) -> None:
    ben, cem = make_key(yard, "ben"), make_key(yard, "cem")
    plain = yard.head()
    with yard.acting("cem"), open_repository(yard.root) as repo:
        signed = commit_record(repo, "main", {DECISION: b"d\n"}, "Decide", sign=True)
        tag = create_release(repo, "pb", 1, signed, "First hull 016", sign=True)
        body = yard.git("cat-file", "commit", signed).replace("Decide", "Forged")
        forged = yard.git("hash-object", "-t", "commit", "-w", "--stdin", stdin=f"{body}\n".encode())
        commits = (plain, signed, forged)
        found = verify_commits(repo, commits, (ben + cem).encode())
        assert [found[commit].verdict for commit in commits] == ["none", "good", "bad"]
        assert (found[signed].signer, found[signed].key[:7]) == ("cem@quay.example", "SHA256:")
        assert verify_commits(repo, (signed,), ben.encode())[signed].verdict == "unknown"
        assert verify_commits(repo, (), b"") == {}
        good = verify_tag(repo, tag, cem.encode())
        assert (good.verdict, good.signer, good.key) == ("good", "cem@quay.example", found[signed].key)
        assert verify_tag(repo, tag, ben.encode()).verdict == "unknown"
        assert verify_tag(repo, tag, b"").verdict == "unknown"
        (release,) = read_refs(repo, "main").releases
        assert release.message == "First hull 016"
        body = yard.git("cat-file", "tag", tag).replace("First hull", "Other hull")
        other = yard.git("hash-object", "-t", "tag", "-w", "--stdin", stdin=f"{body}\n".encode())
        assert verify_tag(repo, other, cem.encode()).verdict == "bad"


@needs_ssh_keygen
def test_configured_signing_is_followed_and_a_failure_writes_nothing(yard: GitRepo) -> None:
    cem = make_key(yard, "cem")
    yard.git("config", "commit.gpgSign", "true")
    with yard.acting("cem"), open_repository(yard.root) as repo:
        signed = commit_record(repo, "main", {DECISION: b"d\n"}, "Decide")
        unsigned = commit_record(repo, "main", {CHANGE: b"c\n"}, "Propose", sign=False)
        found = verify_commits(repo, (signed, unsigned), cem.encode())
        assert [found[commit].verdict for commit in (signed, unsigned)] == ["good", "none"]
        yard.git("config", "user.signingKey", "/nonexistent")
        before, main = yard.state(), yard.head()
        with pytest.raises(Refused, match="could not be signed"):
            commit_record(repo, "main", {CHANGE: b"other\n"}, "x")
        with pytest.raises(Refused, match="could not be signed"):
            create_release(repo, "pb", 1, main, "x", sign=True)
        yard.git("config", "tag.gpgSign", "true")
        with pytest.raises(Refused, match="could not be signed"):
            create_release(repo, "pb", 1, main, "x")
        assert yard.git("tag", "--list") == ""
        assert (yard.state(), yard.head()) == (before, main)


@needs_gpg
def test_openpgp_signatures_are_verified_through_git(yard: GitRepo) -> None:
    home = yard.home / "gnupg"
    home.mkdir(mode=0o700, parents=True)
    env = os.environ | {"GNUPGHOME": str(home)}
    make = [
        "gpg",
        "--batch",
        "--quiet",
        "--passphrase",
        "",
        "--quick-gen-key",
        "Cem Keel <cem@quay.example>",
        "ed25519",
    ]
    try:
        subprocess.run(make, env=env, check=True, capture_output=True)
        with yard.acting("cem"), open_repository(yard.root) as repo:
            os.environ["GNUPGHOME"] = str(home)
            signed = commit_record(repo, "main", {DECISION: b"d\n"}, "Decide", sign=True)
            tag = create_release(repo, "pb", 1, signed, "First hull", sign=True)
            commit, release = verify_commits(repo, (signed,), b"")[signed], verify_tag(repo, tag, b"")
            body = yard.git("cat-file", "tag", tag).replace("First hull", "Other hull")
            other = yard.git("hash-object", "-t", "tag", "-w", "--stdin", stdin=f"{body}\n".encode())
            assert verify_tag(repo, other, b"").verdict == "bad"
        assert (commit.verdict, commit.signer) == ("good", "Cem Keel <cem@quay.example>")
        assert (release.verdict, release.signer, release.key) == ("good", commit.signer, commit.key)
    finally:
        subprocess.run(["gpgconf", "--kill", "all"], env=env, check=True)
