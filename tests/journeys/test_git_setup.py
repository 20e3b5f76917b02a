"""A clone after `git-setup`: real diffs, merges and commits, by git itself."""

import json
import subprocess
from collections.abc import Sequence
from pathlib import Path

import pytest

from recipe_track.cli.main import run
from tests.journeys.gitrepo import GitRepo
from tests.recipes import WORKED

ZONE = "models/demo/deck/side.toml"
FABRIC = "materials/biax-800.toml"
CORE = '  { material = "pvc-80", thickness_mm = 20 },\n'
THICKER = '  { material = "pvc-80", thickness_mm = 25 },\n'
UPPER = '  { material = "biax-800", angle_deg = 30, flipped = true },\n'
TURNED = '  { material = "biax-800", angle_deg = 45, flipped = true },\n'
MORE = '  { material = "wr-600" },\n'
MAT = '  { material = "csm-300" },\n'
SAID = "\n\nReason: for the sake of the story\nChange: C-2M9XQ4"


@pytest.fixture
def hooked(tmp_path: Path) -> GitRepo:
    """The worked recipe in a clone that is set up."""
    made = GitRepo.create(tmp_path, name="the yard's")
    for path in sorted(WORKED.rglob("*.toml")):
        made.write(path.relative_to(WORKED).as_posix(), path.read_bytes())
    made.commit("First issue")
    assert call(made, "git-setup") == 0
    return made


@pytest.fixture
def yard(hooked: GitRepo) -> GitRepo:
    """The same without its hooks, which take their time at every commit."""
    hooked.git("config", "core.hooksPath", "/dev/null")
    return hooked


def call(repo: GitRepo, *args: str) -> int:
    with repo.acting():
        return run(["-C", str(repo.root), *args])


def edit(repo: GitRepo, path: str, *exchanges: tuple[str, str]) -> None:
    text = (repo.root / path).read_text(encoding="utf-8")
    for old, new in exchanges:
        assert text.count(old) == 1
        text = text.replace(old, new)
    repo.write(path, text)


def two_sides(
    repo: GitRepo, ours: Sequence[tuple[str, str]], theirs: Sequence[tuple[str, str]], path: str = ZONE
) -> None:
    """The branch theirs, and main checked out, each with its edits of one file."""
    repo.branch("theirs")
    edit(repo, path, *theirs)
    repo.commit(f"Theirs{SAID}")
    repo.checkout("main")
    edit(repo, path, *ours)
    repo.commit(f"Ours{SAID}")


def zone_text(repo: GitRepo, path: str = ZONE) -> str:
    return (repo.root / path).read_text(encoding="utf-8")


def commit(repo: GitRepo, message: str, *options: str) -> "subprocess.CompletedProcess[bytes]":
    repo.clock += 60
    return repo.run("commit", "--quiet", "-m", message, *options)


# diffs


def test_a_diff_speaks_of_layers_and_its_hunks_are_headed_by_their_tables(yard: GitRepo) -> None:
    edit(
        yard,
        ZONE,
        (CORE, THICKER),
        (UPPER, TURNED.replace("},", 'note = "stagger" },').replace("e n", "e, n")),
        ("pressure_kpa = 18.0", "pressure_kpa = 19.0"),
    )
    lines = yard.git("diff").splitlines()
    assert [line for line in lines if line[0] in "+-" and line[:3] not in ("+++", "---")] == [
        "-  pvc-80  20 mm",
        "-  biax-800  30°  flipped",
        "+  pvc-80  25 mm",
        "+  biax-800  45°  flipped  note: stagger",
        "-pressure_kpa = 18.0",
        "+pressure_kpa = 19.0",
    ]
    heads = [line.rpartition("@@ ")[2] for line in lines if line.startswith("@@")]
    assert heads == ["layup", "[panel]"]


def test_a_diff_of_a_material_has_a_line_for_each_value(yard: GitRepo) -> None:
    edit(yard, FABRIC, ("infusion = 0.68", "infusion = 0.66"), ("angle_deg = -45", "angle_deg = -60"))
    lines = yard.git("diff").splitlines()
    assert [line for line in lines if line[0] in "+-" and line[:3] not in ("+++", "---")] == [
        "-  -45°  50 %",
        "+  -60°  50 %",
        "-  infusion = 0.68",
        "+  infusion = 0.66",
    ]


def test_a_diff_shows_a_file_that_is_not_valid_as_it_is(yard: GitRepo) -> None:
    edit(yard, ZONE, (CORE, '  { material = "pvc-80", thicknes_mm = 20 },\n'))
    assert '+  { material = "pvc-80", thicknes_mm = 20 },' in yard.git("diff").splitlines()


def test_a_diff_shows_a_change_too_small_for_words(yard: GitRepo) -> None:
    edit(yard, ZONE, (CORE, '  { material = "pvc-80", thickness_mm = 20.0000001 },\n'))
    assert '+  { material = "pvc-80", thickness_mm = 20.0000001 }' in yard.git("diff").splitlines()


def test_what_people_typed_cannot_act_in_a_diff(yard: GitRepo) -> None:
    edit(yard, ZONE, (CORE, CORE.replace(" },", ', note = "\\u001b[2J\\n+  forged" },')))
    added = [line for line in yard.git("diff").splitlines() if line.startswith("+  ")]
    assert added == ["+  pvc-80  20 mm  note: ␛[2J␊+  forged"]


def test_code_in_the_repository_does_not_run(hooked: GitRepo) -> None:
    for name in ("click", "json", "recipe_track", "tomli"):
        hooked.write(f"{name}.py", f"open({str(hooked.root / 'ran')!r}, 'w')\n")
    edit(hooked, ZONE, (CORE, THICKER))
    assert "+  pvc-80  25 mm" in hooked.git("diff").splitlines()
    assert commit(hooked, f"Thicker{SAID}", "-a").returncode == 0
    assert not (hooked.root / "ran").exists()


# merges


def test_neighbouring_layers_merge(yard: GitRepo) -> None:
    before = zone_text(yard)
    two_sides(yard, ours=[(CORE, THICKER)], theirs=[(UPPER, TURNED)])
    yard.merge("theirs")
    assert zone_text(yard) == before.replace(CORE, THICKER).replace(UPPER, TURNED)
    assert call(yard, "check") == 0


def test_plain_git_conflicts_there(yard: GitRepo) -> None:
    """What the driver is for: without it git asks for a choice."""
    assert call(yard, "git-setup", "--undo") == 0
    two_sides(yard, ours=[(CORE, THICKER)], theirs=[(UPPER, TURNED)])
    assert yard.run("merge", "theirs").returncode == 1


def test_a_layer_taken_out_and_its_neighbour_edited_merge(yard: GitRepo) -> None:
    before = zone_text(yard)
    two_sides(yard, ours=[(CORE, "")], theirs=[(UPPER, TURNED)])
    yard.merge("theirs")
    assert zone_text(yard) == before.replace(CORE, "").replace(UPPER, TURNED)


CONFLICTS = {
    "edited twice": ([(CORE, THICKER)], [(CORE, CORE.replace("20", "30"))]),
    "taken out and edited": ([(CORE, "")], [(CORE, THICKER)]),
    "put in at one place": ([(CORE, CORE + MORE)], [(CORE, CORE + MAT)]),
    "appended twice": ([("},\n]", f"}},\n{MORE}]")], [("},\n]", f"}},\n{MAT}]")]),
}


@pytest.mark.parametrize(("ours", "theirs"), CONFLICTS.values(), ids=CONFLICTS.keys())
def test_a_choice_is_left_to_people(
    yard: GitRepo, ours: list[tuple[str, str]], theirs: list[tuple[str, str]]
) -> None:
    two_sides(yard, ours, theirs)
    done = yard.run("merge", "theirs")
    assert done.returncode == 1, done.stdout.decode()
    assert yard.git("diff", "--name-only", "--diff-filter=U") == ZONE
    text = zone_text(yard)
    assert text.count("<<<<<<< ours\n") == text.count(">>>>>>> theirs\n") == 1
    sides = [yard.show("main", ZONE).decode(), yard.show("theirs", ZONE).decode()]
    assert {line for side in sides for line in side.splitlines()} <= set(text.splitlines())
    assert call(yard, "check") == 1


def test_a_key_written_at_two_places_is_left_to_people(yard: GitRepo) -> None:
    """Git joins the lines, and the file that comes of it has one key twice."""
    one, two = 'extent = "frames 4 to 9"\n', 'extent = "frames 4 to 8"\n'
    two_sides(yard, ours=[("area_m2", f"{one}area_m2")], theirs=[("layup = [", f"{two}layup = [")])
    done = yard.run("merge", "theirs")
    assert done.returncode == 1, done.stdout.decode()
    text = zone_text(yard)
    assert text.count("<<<<<<< ours\n") == text.count("=======\n") == text.count(">>>>>>> theirs\n") == 1
    for side in ("main", "theirs"):
        assert set(yard.show(side, ZONE).decode().splitlines()) <= set(text.splitlines())


def test_a_file_that_is_not_valid_merges_as_git_does(yard: GitRepo) -> None:
    edit(yard, ZONE, ("area_m2 = 2.4", "area_m2 = 2.4\nzonk = 1"))
    yard.commit("Not valid")
    two_sides(yard, ours=[("pressure_kpa = 18.0", "pressure_kpa = 19.0")], theirs=[("zonk = 1", "zonk = 2")])
    yard.merge("theirs")
    assert "zonk = 2" in zone_text(yard)
    assert "pressure_kpa = 19.0" in zone_text(yard)


def test_without_the_program_git_still_shows_and_merges(yard: GitRepo) -> None:
    for key in ("diff.recipe-track.textconv", "merge.recipe-track.driver"):
        command = yard.git("config", key).replace("-m recipe_track", "-m no_such_program")
        yard.git("config", key, command)
    two_sides(yard, ours=[(CORE, THICKER)], theirs=[("span_mm = 450", "span_mm = 400")])
    assert f"-{CORE.rstrip()}" in yard.git("diff", "HEAD~1").splitlines()
    yard.merge("theirs")
    assert THICKER in zone_text(yard)
    assert "span_mm = 400" in zone_text(yard)


def test_without_the_program_a_conflict_has_markers(yard: GitRepo) -> None:
    command = yard.git("config", "merge.recipe-track.driver")
    yard.git("config", "merge.recipe-track.driver", command.replace("-m recipe_track", "-m no_such_program"))
    two_sides(yard, *CONFLICTS["edited twice"])
    assert yard.run("merge", "theirs").returncode == 1
    assert "<<<<<<< ours\n" in zone_text(yard)


@pytest.mark.parametrize("kind", ["bare", "linked"])
def test_the_driver_works_in_every_kind_of_repository(yard: GitRepo, kind: str) -> None:
    """`merge-tree --write-tree` is how a change is approved; git 2.38 or newer has it."""
    before = zone_text(yard)
    two_sides(yard, ours=[(CORE, THICKER)], theirs=[(UPPER, TURNED)])
    other = yard.clone("bare.git", "--bare") if kind == "bare" else yard.worktree("linked", "--detach")
    if kind == "bare":
        assert call(other, "git-setup") == 0
    tree = other.git("merge-tree", "--write-tree", "main", "theirs").splitlines()[0]
    joined = other.git("cat-file", "blob", f"{tree}:{ZONE}")
    assert f"{joined}\n" == before.replace(CORE, THICKER).replace(UPPER, TURNED)


# commits


def test_a_commit_of_a_broken_recipe_is_stopped(hooked: GitRepo) -> None:
    head = hooked.head()
    edit(hooked, ZONE, (CORE, '  { material = "pvc-80", thicknes_mm = 20 },\n'))
    hooked.git("add", ZONE)
    done = commit(hooked, f"Break it{SAID}")
    assert done.returncode == 1
    told = (done.stdout + done.stderr).decode()
    assert f"{ZONE}:9:26: unknown key `thicknes_mm`" in told
    assert hooked.head() == head


def test_what_is_staged_counts_and_not_what_lies_there(hooked: GitRepo) -> None:
    edit(hooked, ZONE, (CORE, THICKER))
    hooked.git("add", ZONE)
    edit(hooked, ZONE, (THICKER, "  nonsense\n"))
    assert call(hooked, "check") == 1
    assert call(hooked, "check", "--staged") == 0
    assert commit(hooked, f"Thicker{SAID}").returncode == 0
    edit(hooked, ZONE, ("  nonsense\n", THICKER))
    assert hooked.git("status", "--porcelain") == ""


def test_a_file_that_is_only_announced_is_not_checked(yard: GitRepo) -> None:
    """`git add -N` puts an empty entry in the index that no commit will hold."""
    yard.write("models/demo/deck/later.toml", "area_m2 = ")
    yard.git("add", "-N", "models/demo/deck/later.toml")
    assert call(yard, "check", "--staged") == 0
    yard.git("add", "models/demo/deck/later.toml")
    assert call(yard, "check", "--staged") == 1


def test_a_commit_of_some_paths_is_checked_by_its_own_index(hooked: GitRepo) -> None:
    """`git commit PATH` and `commit -a` hand the hook an index of their own."""
    edit(hooked, ZONE, (CORE, "  nonsense\n"))
    assert commit(hooked, "All of it", "-a").returncode == 1
    edit(hooked, FABRIC, ("areal_mass_g_m2 = 800", "areal_mass_g_m2 = 810"))
    hooked.git("add", ZONE)
    assert commit(hooked, "What is staged").returncode == 1
    done = commit(hooked, f"Only the fabric{SAID}", "--", FABRIC)
    assert done.returncode == 0, done.stderr.decode()
    assert hooked.git("diff-tree", "-r", "--name-only", "--no-commit-id", "HEAD") == FABRIC


def test_staged_problems_as_json(hooked: GitRepo, capsys: pytest.CaptureFixture[str]) -> None:
    edit(hooked, ZONE, (CORE, "  nonsense\n"))
    hooked.git("add", ZONE)
    hooked.git("checkout", "HEAD", "--", FABRIC)
    capsys.readouterr()
    assert call(hooked, "check", "--staged", "--json") == 1
    body = json.loads(capsys.readouterr().out)
    assert {problem["file"] for problem in body["problems"]} == {ZONE}
    assert call(hooked, "check", "--staged", "--at", "HEAD") == 2
    assert call(hooked.clone("bare.git", "--bare"), "check", "--staged") == 2


def warned(told: str) -> set[str]:
    return {line.split("`")[1] for line in told.splitlines() if "warning" in line}


def test_a_commit_without_its_reason_is_warned_of_and_made(hooked: GitRepo) -> None:
    edit(hooked, ZONE, (CORE, THICKER))
    done = commit(hooked, "Thicker", "-a")
    assert done.returncode == 0
    assert warned(done.stderr.decode()) == {"Reason:", "Change:"}
    assert hooked.git("log", "-1", "--format=%s") == "Thicker"


@pytest.mark.parametrize(
    ("message", "lacking"),
    [
        ("Thicker\n\nReason: soft", {"Change:"}),
        ("Thicker\n\nreason: soft\nCHANGE: C-2M9XQ4", set()),
        ("Thicker\n\nReason: soft\n\nnot at the end", {"Reason:", "Change:"}),
        ("Thicker\n\nReason:\nChange: C-2M9XQ4", {"Reason:"}),
        ("Thicker\n\nReason: soft\nChange: C-2M9XQ4\n# a comment of git\n", set()),
        ("Thicker\n\nReason: soft\nChange: C-2M9XQ4\n# ---- >8 ----\n", set()),
        (f"Thicker\n\nReason: soft\n# {'-' * 24} >8 {'-' * 24}\ndiff\n\nChange: C-1", {"Change:"}),
    ],
)
def test_trailers_are_looked_for_where_git_finds_them(
    yard: GitRepo, message: str, lacking: set[str], capsys: pytest.CaptureFixture[str]
) -> None:
    edit(yard, ZONE, (CORE, THICKER))
    yard.git("add", ZONE)
    assert message_warnings(yard, message, capsys) == lacking


def message_warnings(repo: GitRepo, message: str, capsys: pytest.CaptureFixture[str]) -> set[str]:
    file = repo.root.parent / "message"
    file.write_text(message, encoding="utf-8")
    capsys.readouterr()
    assert call(repo, "git-message", str(file)) == 0
    return warned(capsys.readouterr().err)


def test_commits_that_leave_the_recipe_alone_need_no_trailers(
    yard: GitRepo, capsys: pytest.CaptureFixture[str]
) -> None:
    yard.write("notes.txt", "anything")
    yard.git("add", "notes.txt")
    assert message_warnings(yard, "Notes", capsys) == set()


def test_a_first_issue_needs_a_reason_only(yard: GitRepo, capsys: pytest.CaptureFixture[str]) -> None:
    yard.write("models/other/model.toml", (WORKED / "models/demo/model.toml").read_bytes())
    yard.git("add", ".")
    assert message_warnings(yard, "Another craft", capsys) == {"Reason:"}


def test_the_first_commit_of_all_is_looked_at_too(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    empty = GitRepo.create(tmp_path)
    empty.write("recipe-track.toml", "format = 1\n")
    empty.write("prices.toml", (WORKED / "prices.toml").read_bytes())
    empty.git("add", ".")
    assert message_warnings(empty, "Prices", capsys) == {"Reason:", "Change:"}


def test_a_merge_needs_no_trailers_of_its_own(yard: GitRepo, capsys: pytest.CaptureFixture[str]) -> None:
    two_sides(yard, ours=[(CORE, THICKER)], theirs=[("span_mm = 450", "span_mm = 400")])
    yard.git("merge", "--no-ff", "--no-commit", "theirs")
    assert message_warnings(yard, "merge", capsys) == set()


def test_files_that_are_sound_alone_but_not_together_are_not_committed(hooked: GitRepo) -> None:
    """One side uses a material, the other side takes it away: no line conflicts."""
    spare, price = "materials/spare.toml", "csm-300 = { per_kg = 2.4, labour_min_per_m2 = 4.0 }\n"
    mat = (WORKED / "materials/csm-300.toml").read_text(encoding="utf-8")
    hooked.commit(f"A spare mat{SAID}", files={spare: mat})
    hooked.branch("theirs")
    hooked.git("rm", "--quiet", spare)
    hooked.commit(f"No spare{SAID}")
    hooked.checkout("main")
    edit(hooked, ZONE, (UPPER, UPPER + '  { material = "spare" },\n'))
    edit(hooked, "prices.toml", (price, price + price.replace("csm-300", "spare")))
    head = hooked.commit(f"Use it{SAID}")
    done = hooked.run("merge", "-m", "merge", "theirs")
    assert done.returncode != 0
    assert "unknown material `spare`" in (done.stdout + done.stderr).decode()
    assert hooked.head() == head


def test_the_hooks_work_in_a_linked_work_tree(hooked: GitRepo) -> None:
    linked = hooked.worktree("linked", "-b", "side")
    edit(linked, ZONE, (CORE, "  nonsense\n"))
    done = commit(linked, "Nonsense", "-a")
    assert done.returncode == 1
    assert ZONE in done.stdout.decode() + done.stderr.decode()


# the command


def test_the_command_shows_what_it_writes(hooked: GitRepo, capsys: pytest.CaptureFixture[str]) -> None:
    assert call(hooked, "git-setup", "--undo", "--dry-run", "--json") == 0
    body = json.loads(capsys.readouterr().out)
    assert body["format"] == "recipe-track/git-setup/1"
    assert body["dry_run"] is True
    assert [change["after"] for change in body["settings"]] == [None] * 4
    assert hooked.run("config", "--local", "diff.recipe-track.textconv").returncode == 0
    assert call(hooked, "git-setup", "--undo") == 0
    assert f"take away {hooked.root / '.git/hooks/pre-commit'}" in capsys.readouterr().out
    assert call(hooked, "git-setup", "--dry-run") == 0
    told = capsys.readouterr()
    assert "git config --local merge.recipe-track.driver " in told.out
    assert "check --staged || exit 1" in told.out
    assert "nothing was written" in told.err
    assert hooked.run("config", "--local", "diff.recipe-track.textconv").returncode == 1


def test_what_git_calls_is_not_listed(hooked: GitRepo, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["--help"]) == 0
    told = capsys.readouterr().out
    assert "git-setup" in told
    assert "git-merge" not in told
