"""Problems: place first, the line, a pointer under the piece that is meant, a hint."""

from recipe_track.errors import Problem
from recipe_track.present.words.problems import problem_text, problems_json

PROBLEM = Problem("a/b.toml", 9, 5, "unknown-key", "unknown key `x`", "did you mean `y`?", "{ a, x = 1 }", 1)


def test_a_problem_points_at_its_place() -> None:
    assert problem_text(PROBLEM) == (
        "a/b.toml:9:5: unknown key `x`\n     9 | { a, x = 1 }\n       |     ^\n    did you mean `y`?"
    )


def test_a_problem_without_a_line_says_none() -> None:
    assert problem_text(Problem("a.toml", None, None, "gone", "gone")) == "a.toml: gone"


def test_a_very_long_line_is_cut_around_its_place() -> None:
    long = "x" * 5000 + "BAD" + "y" * 5000
    text = problem_text(Problem("a.toml", 1, 5001, "bad", "bad", "", long, 3))
    shown, pointer = text.split("\n")[1:]
    assert len(shown) < 200
    assert shown[pointer.index("^") : pointer.index("^") + 3] == "BAD"


def test_json_has_the_six_keys() -> None:
    assert problems_json((PROBLEM,)) == [
        {
            "file": "a/b.toml",
            "line": 9,
            "column": 5,
            "code": "unknown-key",
            "message": "unknown key `x`",
            "hint": "did you mean `y`?",
        }
    ]
