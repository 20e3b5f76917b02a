"""Exit statuses, streams and options that every command shares."""

import json
import shutil
import subprocess
import sys
from pathlib import Path

import click
import pytest

from recipe_track.cli.main import cli, run
from recipe_track.cli.output import show_unexpected
from tests.journeys.gitrepo import GitRepo, environment
from tests.recipes import WORKED


@pytest.fixture
def repo(tmp_path: Path) -> GitRepo:
    made = GitRepo.create(tmp_path)
    for path in sorted(WORKED.rglob("*.toml")):
        made.write(path.relative_to(WORKED).as_posix(), path.read_text(encoding="utf-8"))
    made.commit("First issue")
    return made


def call(repo: GitRepo, *args: str) -> int:
    with environment(repo.env()):
        return run(["-C", str(repo.root), *args])


def test_check_of_a_sound_recipe(repo: GitRepo, capsys: pytest.CaptureFixture[str]) -> None:
    assert call(repo, "check") == 0
    assert capsys.readouterr().out == "no problems\n"


def test_problems_are_the_result_of_check(repo: GitRepo, capsys: pytest.CaptureFixture[str]) -> None:
    repo.write("models/demo/deck/side.toml", "area_m2 = -1\n")
    assert call(repo, "check", "--json") == 1
    body = json.loads(capsys.readouterr().out)
    assert body["format"] == "recipe-track/check/1"
    assert {"file", "line", "column", "code", "message", "hint"} <= set(body["problems"][0])


def test_an_invalid_recipe_has_no_figures(repo: GitRepo, capsys: pytest.CaptureFixture[str]) -> None:
    repo.write("models/demo/deck/side.toml", "area_m2 = -1\n")
    assert call(repo, "figures") == 1
    told = capsys.readouterr()
    assert told.out == ""
    assert "models/demo/deck/side.toml:1:11" in told.err


@pytest.mark.parametrize(
    "args",
    [
        ("figures", "--at", "nonsense"),
        ("figures", "deck/nothing"),
        ("figures", "--model", "nothing"),
        ("compare", "HEAD", "--output=x"),
        ("check", "nowhere.toml"),
        ("nocommand",),
        ("figures", "--no-such-option"),
    ],
)
def test_a_wrong_call(repo: GitRepo, args: tuple[str, ...], capsys: pytest.CaptureFixture[str]) -> None:
    assert call(repo, *args) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert told.err.strip()
    assert not (repo.root / "x").exists()


def test_no_repository(tmp_path: Path, repo: GitRepo, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "bare-folder").mkdir()
    with environment(repo.env()):
        assert run(["-C", str(tmp_path / "bare-folder"), "check"]) == 3
    assert "no git repository" in capsys.readouterr().err


def test_a_git_repository_that_holds_no_recipe(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    empty = GitRepo.create(tmp_path)
    assert call(empty, "figures") == 3
    assert "recipe-track.toml" in capsys.readouterr().err


def test_a_newer_format_is_refused(repo: GitRepo, capsys: pytest.CaptureFixture[str]) -> None:
    repo.write("recipe-track.toml", "format = 2\n")
    assert call(repo, "figures") == 3
    assert "format 2" in capsys.readouterr().err


def test_options_stand_before_or_after_the_command(repo: GitRepo, capsys: pytest.CaptureFixture[str]) -> None:
    with environment(repo.env()):
        assert run(["--json", "figures", "-C", str(repo.root), "--model", "demo"]) == 0
        after = capsys.readouterr().out
        assert run(["-C", str(repo.root), "--model", "demo", "figures", "--json"]) == 0
    assert capsys.readouterr().out == after
    assert json.loads(after)["revision"] == {"label": "working", "commit": None, "date": None}


def test_check_names_paths_from_where_one_stands(
    repo: GitRepo, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    repo.write("models/demo/deck/side.toml", "area_m2 = -1\n")
    with environment(repo.env()):
        monkeypatch.chdir(repo.root / "models/demo/deck")
        assert run(["check", "coaming.toml"]) == 0
        assert run(["check", "side.toml"]) == 1
        assert run(["check", "."]) == 1
    capsys.readouterr()


def test_check_names_paths_from_the_folder_of_the_call(
    repo: GitRepo, capsys: pytest.CaptureFixture[str]
) -> None:
    repo.write("models/demo/deck/side.toml", "area_m2 = -1\n")
    with environment(repo.env()):
        assert run(["-C", str(repo.root / "models/demo"), "check", "deck/coaming.toml"]) == 0
        assert run(["-C", str(repo.root / "models/demo"), "check", "deck/side.toml"]) == 1
    capsys.readouterr()


def test_a_label_of_one_of_several_models_asks_for_the_model(
    repo: GitRepo, capsys: pytest.CaptureFixture[str]
) -> None:
    shutil.copytree(repo.root / "models/demo", repo.root / "models/other")
    repo.commit("Two models")
    repo.git("tag", "-a", "-m", "demo r1", "demo/r1")
    assert call(repo, "compare", "r1", "HEAD") == 2
    assert "name one with --model" in capsys.readouterr().err
    assert call(repo, "compare", "r1", "HEAD", "--model", "demo") == 0


@pytest.mark.parametrize("name", ["two\nlines", "one\u2028line", "-dash", "a \"b' $(c)"])
def test_the_folder_may_have_any_name(
    tmp_path: Path, repo: GitRepo, name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    shutil.move(repo.root, tmp_path / name)
    repo.root = tmp_path / name
    assert call(repo, "figures") == 0
    assert call(repo, "release", "demo") == 0
    assert call(repo, "hull", "add", "077", "--model", "demo", "--revision", "r1") == 0
    assert (repo.root / "hulls/077.toml").is_file()
    capsys.readouterr()


def test_check_at_a_revision(repo: GitRepo, capsys: pytest.CaptureFixture[str]) -> None:
    repo.write("models/demo/deck/side.toml", "area_m2 = -1\n")
    assert call(repo, "check", "--at", "HEAD") == 0
    repo.commit("Break it")
    assert call(repo, "check", "--at", "HEAD") == 1
    assert "side.toml:1:11" in capsys.readouterr().out


def test_a_closed_pipe_is_no_error(repo: GitRepo) -> None:
    script = f"set -o pipefail; python3 -m recipe_track -C {repo.root} figures --json | head -1"
    root = Path(__file__).parents[3]

    script = script.replace("python3", sys.executable)
    done = subprocess.run(
        ["bash", "-c", script], capture_output=True, text=True, cwd=root, env=repo.env(), check=False
    )
    assert "Traceback" not in done.stderr


def in_a_shell(repo: GitRepo, script: str) -> "subprocess.CompletedProcess[str]":
    """A line of a shell in which `rt` is the program, in the repository."""
    root = Path(__file__).parents[3]
    program = f'rt() {{ "{sys.executable}" -m recipe_track -C "{repo.root}" "$@"; }}; '
    return subprocess.run(
        ["bash", "-c", program + script],
        capture_output=True,
        text=True,
        cwd=root,
        env=repo.env(),
        check=False,
    )


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no device that is always full")
@pytest.mark.parametrize("command", ["figures", "check --json"])
def test_a_full_disk_is_told_in_one_line(repo: GitRepo, command: str) -> None:
    done = in_a_shell(repo, f"rt {command} > /dev/full")
    assert done.returncode == 3
    assert done.stderr == "recipe-track: the answer cannot be written: No space left on device\n"


def test_closed_streams_are_no_error_and_do_not_mix(repo: GitRepo) -> None:
    assert in_a_shell(repo, "rt figures >&-").stderr == ""
    assert in_a_shell(repo, "rt figures nowhere 2>&-").stdout == ""


def test_an_interruption_while_the_program_loads_is_quiet(repo: GitRepo) -> None:
    interrupted = (
        "import sys, importlib.abc\n"
        "class Early(importlib.abc.MetaPathFinder):\n"
        "    def find_spec(self, name, path, target=None):\n"
        "        if name == 'recipe_track.cli.main': raise KeyboardInterrupt\n"
        "sys.meta_path.insert(0, Early())\n"
        "sys.argv[1:] = ['check']\n"
        "from recipe_track.__main__ import main\n"
        "main()\n"
    )
    command = [sys.executable, "-c", interrupted]
    done = subprocess.run(
        command, capture_output=True, cwd=Path(__file__).parents[3], env=repo.env(), check=False
    )
    assert (done.returncode, done.stderr) == (130, b"")


def test_a_wrong_value_is_repeated_as_plain_text(repo: GitRepo, capsys: pytest.CaptureFixture[str]) -> None:
    assert call(repo, "trial", "log", "--on", "\u202etomorrow") == 2
    told = capsys.readouterr().err
    assert "tomorrow" in told
    assert "\u202e" not in told


@pytest.mark.parametrize("there", [False, True])
def test_new_leaves_nothing_where_it_cannot_commit(
    tmp_path: Path, repo: GitRepo, there: bool, capsys: pytest.CaptureFixture[str]
) -> None:
    target = tmp_path / "fresh"
    if there:
        target.mkdir()
    nobody = {key: value for key, value in repo.env().items() if "_NAME" not in key and "_EMAIL" not in key}
    with environment(nobody):
        assert run(["new", str(target)]) == 1
    assert "does not know who you are" in capsys.readouterr().err
    assert target.exists() == there
    assert not there or not list(target.iterdir())
    with environment(repo.env()):
        assert run(["new", str(target)]) == 0


def leaves() -> list[tuple[str, ...]]:
    """Every command, and every command of a group of commands."""
    found: list[tuple[str, ...]] = []
    for name in cli.list_commands(click.Context(cli)):
        command = cli.get_command(click.Context(cli), name)
        inside = sorted(command.commands) if isinstance(command, click.Group) else []
        found.extend((name, one) for one in inside)
        found.extend([(name,)] if not inside else [])
    return found


@pytest.mark.parametrize("command", leaves(), ids=" ".join)
def test_every_command_explains_itself(command: tuple[str, ...], capsys: pytest.CaptureFixture[str]) -> None:
    assert run([*command, "--help"]) == 0
    told = capsys.readouterr().out
    assert "--json" in told
    assert "-C DIR" in told


def test_a_terminal_that_knows_no_arrows_still_gets_the_figures(repo: GitRepo) -> None:
    command = [sys.executable, "-m", "recipe_track", "-C", str(repo.root), "compare", "HEAD", "HEAD"]
    env = {**repo.env(), "PYTHONIOENCODING": "ascii"}
    done = subprocess.run(command, capture_output=True, cwd=Path(__file__).parents[3], env=env, check=False)
    assert done.returncode == 0, done.stderr
    assert b"mass" in done.stdout


def test_a_mistake_of_the_program_is_told_without_a_traceback_unless_asked_for(
    repo: GitRepo, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*_args: object) -> None:
        raise ZeroDivisionError("half a ply")

    monkeypatch.setattr("recipe_track.workspace.Workspace.snapshot", fail)
    assert call(repo, "figures") == 3
    told = capsys.readouterr().err
    said = "recipe-track: a mistake of the program: ZeroDivisionError: half a ply (tests.unit.cli.test_exit, line "
    assert told.startswith(said)
    assert "Traceback" not in told
    monkeypatch.setattr("recipe_track.cli.output.os.environ", {"RECIPE_TRACK_TRACEBACK": "1"})
    show_unexpected(ZeroDivisionError("again"))
    assert "ZeroDivisionError: again" in capsys.readouterr().err


def test_answers_of_git_that_make_no_sense_are_told_as_such(
    repo: GitRepo, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("recipe_track.history.objects.read_many", lambda *_: {})
    monkeypatch.setattr("recipe_track.workspace.contents.read_many", lambda *_: {})
    assert call(repo, "figures", "--at", "HEAD") == 3
    assert "git's answers cannot be understood (KeyError" in capsys.readouterr().err
