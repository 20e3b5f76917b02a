"""What went wrong, in place of the figures."""

from collections.abc import Iterator

from textual.content import Content

from recipe_track.errors import InvalidRecipe, Refused, TrackError
from recipe_track.present.words.problems import problem_text
from recipe_track.tui.plaintext import line, lines


def trouble_page(error: TrackError) -> Content:
    """The error, every located problem, what to do."""
    return lines(_page(error))


def _page(error: TrackError) -> Iterator[Content]:
    yield line((error.message, "bold $accent"))
    yield from (line(f"  {detail}") for detail in (error.details if isinstance(error, Refused) else ()))
    if error.hint:
        yield line(f"  {error.hint}")
    for problem in error.problems if isinstance(error, InvalidRecipe) else ():
        yield line("")
        yield from (line(text) for text in problem_text(problem).split("\n"))
    if isinstance(error, InvalidRecipe):
        yield line("")
        yield line("The figures come back as soon as the files are mended and saved.")


def trouble_words(error: TrackError) -> str:
    """The error on one line with its details and hint, for a form that comes back."""
    details = error.details if isinstance(error, Refused) else ()
    problems = [p.message for p in error.problems] if isinstance(error, InvalidRecipe) else []
    return "; ".join(filter(None, (error.message, *details, *problems, error.hint)))
