"""The example repository replays into the same history everywhere, whole and readable."""

import re
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pytest
import tomli

from recipe_track.errors import CallError
from recipe_track.history.repository import open_repository
from recipe_track.procedures.example import DemoRepo, example_repo, replay
from recipe_track.recipe.paths import kind_of_path
from recipe_track.textfiles.meaning.read import read_file
from tests.journeys.gitrepo import GitRepo, environment, neutral_environment
from tests.journeys.labelled import labels_of

TIP = "b3a774b16e2d977a7bb32bfffc54161fded6a9f5"
HULLS = {"011", "012", "013", "014", "015", "016"}
FAR_FROM_DEFAULT = """
[init]
    defaultBranch = trunk
    defaultObjectFormat = sha256
    templateDir = {templates}
[core]
    autocrlf = true
    eol = crlf
    attributesFile = {attributes}
    excludesFile = {excludes}
[commit]
    gpgSign = true
[tag]
    gpgSign = true
[user]
    name = Someone Else
    email = someone@example.org
[i18n]
    commitEncoding = latin1
[fastimport]
    unpackLimit = 0
"""


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Iterator[DemoRepo]:
    """The example, replayed once in a neutral environment."""
    folder = tmp_path_factory.mktemp("demo")
    with environment(neutral_environment(folder / "home")):
        yield replay(example_repo(), folder / "yard")


@pytest.fixture(scope="module")
def yard(demo: DemoRepo) -> GitRepo:
    """git in the replayed example."""
    return GitRepo(demo.path, demo.path.parent / "home")


def refs(path: Path, home: Path) -> str:
    """Every ref with the id it stands for, tag objects included."""
    return GitRepo(path, home).git("for-each-ref", "--format=%(refname) %(objectname)")


def written(yard: GitRepo, folder: str, revision: str = "main") -> dict[str, dict[str, object]]:
    """The TOML files below a folder at a revision, by bare name."""
    paths = yard.git("ls-tree", "-r", "--name-only", revision, "--", folder).split("\n")
    return {Path(path).stem: tomli.loads(yard.show(revision, path).decode()) for path in paths}


def records(yard: GitRepo, letter: str) -> dict[str, dict[str, object]]:
    """The records of one kind at the tip of main."""
    return {name: data for name, data in written(yard, "records/").items() if name.startswith(letter)}


def test_the_tip_has_the_id_it_has_everywhere(demo: DemoRepo, yard: GitRepo) -> None:
    assert (demo.tip, yard.head("main")) == (TIP, TIP)
    assert (demo.before, demo.after, demo.zone) == ("r3", "r4", "deck/deck-support")


def test_neither_configuration_nor_environment_plays_in(
    demo: DemoRepo, yard: GitRepo, tmp_path: Path
) -> None:
    home = tmp_path / "home"
    calm = neutral_environment(home)
    templates = tmp_path / "templates" / "hooks"
    templates.mkdir(parents=True)
    (templates / "post-checkout").write_text("#!/bin/sh\nexit 1\n")
    (templates / "post-checkout").chmod(0o755)
    attributes, excludes = tmp_path / "attributes", tmp_path / "excludes"
    attributes.write_text("* text eol=crlf\n")
    excludes.write_text("*\n")
    config = tmp_path / "gitconfig"
    config.write_text(
        FAR_FROM_DEFAULT.format(templates=templates.parent, attributes=attributes, excludes=excludes)
    )
    wild = calm | {
        "GIT_CONFIG_GLOBAL": str(config),
        "GIT_DEFAULT_HASH": "sha256",
        "GIT_DIR": str(tmp_path / "elsewhere"),
        "GIT_INDEX_FILE": str(tmp_path / "no-index"),
        "GIT_AUTHOR_DATE": "@1 +0000",
        "TZ": "Pacific/Auckland",
    }
    with environment(wild):
        again = replay(example_repo(), tmp_path / "yard")
    assert again.tip == demo.tip
    assert refs(again.path, home) == refs(demo.path, yard.home)
    for path in yard.git("ls-files").split("\n"):
        assert (again.path / path).read_bytes() == yard.show("main", path), path


def test_what_git_holds_is_whole_and_the_work_tree_clean(yard: GitRepo) -> None:
    assert yard.git("fsck", "--full", "--strict", "--no-dangling") == ""
    assert yard.git("fsck", "--unreachable") == ""
    assert yard.git("status", "--porcelain", "--untracked-files=all") == ""
    assert yard.git("symbolic-ref", "HEAD") == "refs/heads/main"


def test_a_folder_with_anything_in_it_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / "notes.txt").write_text("mine")
    with pytest.raises(CallError, match="not an empty folder"):
        replay(example_repo(), tmp_path)
    assert [entry.name for entry in tmp_path.iterdir()] == ["notes.txt"]


def test_the_history_holds_what_a_reader_is_promised(demo: DemoRepo, yard: GitRepo) -> None:
    with yard.acting(), open_repository(demo.path) as repo:
        found = labels_of(repo, "pb98")
    assert len(found.revisions) >= 18
    assert [release.label for release in found.releases] == [f"r{n}" for n in range(1, 9)]
    assert all(release.on_main and "first hull" in release.message for release in found.releases)
    files = yard.git("ls-tree", "-r", "--name-only", "main", "--", "models/").split("\n")
    names = Counter(Path(path).name for path in files)
    assert names["part.toml"] == 4
    assert len(files) - names["part.toml"] - names["model.toml"] >= 16
    assert set(written(yard, "hulls/")) == HULLS
    assert len(records(yard, "T-")) >= 12
    assert len(records(yard, "C-")) >= 10
    assert {data["type"] for data in records(yard, "N-").values()} == {"nonconformity", "deviation-permit"}
    assert len(records(yard, "W-")) >= 8
    assert [a["about"] for a in records(yard, "A-").values()] == ["N-8RZ4TC"]
    done = [(step["hull"], step["part"]) for step in records(yard, "H-").values() if "done" in step]
    assert ("013", "grid") in done


def test_the_materials_and_forms_are_those_of_a_real_yard(yard: GitRepo) -> None:
    zones = [z for name, z in written(yard, "models/pb98/").items() if name not in ("part", "model")]
    used = {layer["material"] for zone in zones for layer in zone.get("layup", ())}  # type: ignore[attr-defined]
    materials = written(yard, "materials/")
    assert len([m for m in used if materials[m]["kind"] == "core"]) >= 3
    fabrics = [materials[m] for m in used if materials[m]["kind"] == "reinforcement"]
    ways = {len(f["directions"]) for f in fabrics}  # type: ignore[arg-type]
    assert ways >= {1, 2, 3, 4}
    assert any(f.get("woven") for f in fabrics)
    assert any("lamina" in f for f in fabrics)
    carbon = [z for z in zones if any("carbon" in y["material"] for y in z.get("layup", ()))]  # type: ignore[attr-defined]
    assert len(carbon) == 1
    forms = Counter(zone.get("form", "plate") for zone in zones)
    assert (forms["joint"], forms["stiffener"] >= 2) == (1, True)


def test_every_change_of_the_recipe_but_the_planted_one_names_its_change(yard: GitRepo) -> None:
    lines = yard.git(
        "log", "--first-parent", "--format=%s%x09%(trailers:key=Change,valueonly,separator=%x2C)", "main",
        "--", "models", "materials", "prices.toml",
    ).split("\n")  # fmt: skip
    bare = [subject for subject, _, change in (line.partition("\t") for line in lines) if not change]
    assert bare == [
        "Bonding paste 10.20 a kilogram, as invoiced",  # decided after the fact
        "Roof gelcoat 0.5 mm, the gun is set finer now",
        "First issue of the pilot boat pb98",
    ]
    changes = records(yard, "C-")
    assert {change for line in lines if (change := line.partition("\t")[2])} <= set(changes)


def test_hulls_name_the_commit_their_release_stands_for(yard: GitRepo) -> None:
    built = {name: step for name, step in records(yard, "H-").items() if "revision" in step}
    assert {step["hull"] for step in built.values()} == HULLS
    for name, step in built.items():
        assert step["commit"] == yard.head(f"pb98/{step['revision']}"), name


def test_approvers_differ_from_proposers_and_decide_later(yard: GitRepo) -> None:
    changes = records(yard, "C-")
    approvers = written(yard, "recipe-track.toml")["recipe-track"]["approval"]["approvers"]  # type: ignore[index]
    for name, decision in records(yard, "D-").items():
        assert any(mail in str(decision["by"]) for mail in approvers), name
        change = changes.get(str(decision["about"]))
        if change is not None:
            assert decision["by"] != change["by"], name
            assert str(decision["on"]) > str(change["on"]), name


def test_records_never_change_and_carry_the_day_they_were_committed(yard: GitRepo) -> None:
    log = yard.git("log", "--all", "--name-status", "--no-renames", "-m", "--first-parent",
                   "--format=@%ad", "--date=format:%Y-%m-%d", "--", "records/")  # fmt: skip
    day = ""
    for line in filter(None, log.split("\n")):
        if line.startswith("@"):
            day = line[1:]
            continue
        status, path = line.split("\t")
        assert status == "A", path
        record = tomli.loads(
            yard.show("main" if "C-QHY6J1" not in path else "change/C-QHY6J1", path).decode()
        )
        assert str(record["on"]) <= day, path
        assert re.fullmatch(
            rf"records/{str(record['on'])[:4]}/[TCDVWNHA]-[0-9A-HJKMNP-TV-Z]{{6}}\.toml", path
        )


def test_every_file_reads_without_a_problem_at_every_commit(yard: GitRepo) -> None:
    known: set[str] = set()
    for commit in yard.git("rev-list", "--all").split("\n"):
        for line in yard.git("ls-tree", "-r", commit).split("\n"):
            meta, _, path = line.partition("\t")
            if (oid := f"{meta.split()[2]} {path}") in known or path == "README.md":
                continue
            known.add(oid)
            assert kind_of_path(path) is not None, path
            assert read_file(path, yard.show(commit, path))[1] == (), path
    assert len(known) > 150
