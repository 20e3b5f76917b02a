"""The main job in repositories of every shape: nothing is lost or undone, and the next plain commit keeps it all."""

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.faults.commands import Prepared, prepared
from tests.faults.stories import STORIES
from tests.journeys.gitrepo import GitRepo
from tests.journeys.yard import Yard, main_files


def plain(one: Prepared) -> Yard:
    """As `git init` makes it."""
    return one.yard


def apart(one: Prepared) -> Yard:
    """A clone whose git directory lies elsewhere."""
    return _fetched(
        Yard(one.yard.repo.clone("apart", "--separate-git-dir", str(one.yard.root.parent / "apart.git")))
    )


def submodule(one: Prepared) -> Yard:
    """A submodule of another repository."""
    outer = GitRepo.create(one.yard.root.parent, name="outer")
    outer.git(
        "-c", "protocol.file.allow=always", "submodule", "--quiet", "add", one.yard.root.as_uri(), "yard"
    )
    return _fetched(Yard(GitRepo(outer.root / "yard", one.yard.repo.home, one.yard.repo.clock)))


def linked(one: Prepared) -> Yard:
    """Main is checked out in a linked work tree."""
    one.yard.repo.branch("side")
    return Yard(one.yard.repo.worktree("linked", "main"))


def sparse(one: Prepared) -> Yard:
    """A checkout without the models."""
    one.yard.repo.git("sparse-checkout", "set", "records", "hulls", "materials")
    return one.yard


def shallow(one: Prepared) -> Yard:
    """A clone that ends after some commits."""
    return _fetched(Yard(one.yard.repo.clone("shallow", "--depth", "12", "--no-single-branch")))


def partial(one: Prepared) -> Yard:
    """A clone without the blobs of the past, but for what it was told to fetch."""
    one.yard.repo.git("config", "uploadpack.allowFilter", "true")
    made = _fetched(Yard(one.yard.repo.clone("partial", "--filter=blob:none")))
    made.repo.git("fetch", "--quiet", "--refetch", "--no-filter")
    return made


def modern(one: Prepared) -> Yard:
    """A SHA-256 repository that came out of a SHA-1 one: its records name blobs by ids of 40 digits."""
    made = GitRepo.create(one.yard.root.parent, "--object-format=sha256", name="modern")
    made.git("fast-import", "--quiet", stdin=one.yard.repo.run("fast-export", "--all").stdout)
    made.git("reset", "--quiet", "--hard")
    made.clock = one.yard.repo.clock
    return Yard(made)


def split_index(one: Prepared) -> Yard:
    """An index in two files, with what git keeps to be fast."""
    for key in ("core.splitIndex", "core.untrackedCache", "feature.manyFiles"):
        one.yard.repo.git("config", key, "true")
    one.yard.repo.git("update-index", "--split-index")
    return one.yard


def autocrlf(one: Prepared) -> Yard:
    """Files with the line ends of another system."""
    made = _fetched(Yard(one.yard.repo.clone("autocrlf", "--config", "core.autocrlf=true")))
    assert b"\r\n" in (made.root / "prices.toml").read_bytes()
    return made


def bare(one: Prepared) -> Yard:
    """No work tree at all."""
    return Yard(one.yard.repo.clone("bare.git", "--mirror"))


def _fetched(yard: Yard) -> Yard:
    """The branches of changes are there as branches of one's own."""
    yard.repo.git("fetch", "--quiet", "origin", "refs/heads/change/*:refs/heads/change/*")
    return yard


LAYOUTS = (
    plain, apart, submodule, linked, sparse, shallow, partial, modern, split_index, autocrlf, bare,
)  # fmt: skip
Layout = Callable[[Prepared], Yard]


@pytest.mark.parametrize("layout", LAYOUTS, ids=lambda layout: layout.__name__)
def test_the_main_job_in_every_layout(one: Prepared, layout: Layout) -> None:
    yard = layout(one)
    findings = _audited(yard)
    before = main_files(yard)
    for story in STORIES:
        tip = yard.repo.head("main")
        said = yard(*story.args(one), who=story.who)
        assert said.status == 0, (story.name, said.err)
        assert "note:" not in said.err
        assert yard.repo.head("main") != tip, story.name
    assert before < main_files(yard)
    if layout is not bare:
        assert yard.repo.git("status", "--porcelain") == ""
        assert yard("check").out == "no problems\n"
        held = _main(yard)
        yard.repo.git("commit", "--quiet", "--allow-empty", "--all", "-m", "the next commit")
        assert _main(yard) == held, "a plain commit takes nothing back"
    assert yard.repo.run("fsck", "--connectivity-only", "--no-dangling").returncode == 0
    assert yard("change", "show", one.ids["open"], "--json").json["state"] == "approved"
    # The part moved on before its observation was decided.
    assert _audited(yard) <= findings | {"hull-action-open", "change-unverified", "hold-ignored"}


def _main(yard: Yard) -> list[str]:
    return yard.repo.git("ls-tree", "-r", "main").splitlines()


def _audited(yard: Yard) -> set[str]:
    """The rules that found something."""
    return {finding["rule"] for finding in yard("audit", "--json").json["findings"]}


def test_answers_of_a_sha_256_repository_are_those_of_the_one_it_came_from(
    one: Prepared, tmp_path: Path
) -> None:
    """Edits and decisions named by ids of 40 digits are those that they were."""
    made = modern(one)
    for args in (
        ("change", "list"),
        ("change", "show", one.ids["landed"]),
        ("change", "show", one.ids["open"]),
    ):
        assert made(*args).out == one.yard(*args).out, args
    rules = _audited(made) - _audited(one.yard)
    # Commits of releases are named by their ids, which no repository can compute again.
    assert rules == {"release-moved", "hull-revision-missing"}


def test_settings_decided_before_the_conversion_stay_in_force(tmp_path: Path) -> None:
    one = prepared(tmp_path)
    yard = one.yard
    yard.repo.write(
        "recipe-track.toml", 'format = 1\nmain_branch = "main"\n\n[approval]\nreason_min_length = 40\n'
    )
    said = yard(
        "change", "propose", "--title", "t", "--reason", "reasons are to be longer", "--category", "settings"
    )
    assert said.status == 0, said.err
    yard.repo.git("checkout", "--quiet", "HEAD", "--", ".")
    assert yard("change", "approve", said.id, who="ben").status == 0
    made = modern(one)
    made.repo.write("materials/gelcoat.toml", (made.root / "materials/gelcoat.toml").read_text() + "# x\n")
    refused = made(
        "change", "propose", "--title", "t", "--reason", "too soft underfoot", "--category", "layup"
    )
    assert "of at least 40" in refused.err
