"""Self-contained pages out of templates: every text typed by people is escaped and cannot act."""

from functools import cache
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from recipe_track import __version__
from recipe_track.present.words.plain import visible_lines


def rendered_page(template: str, **context: Any) -> str:
    """One page; a name missing from the context is an error, nothing is looked up elsewhere."""
    return _environment().get_template(template).render(version=__version__, **context)


@cache
def _environment() -> Environment:
    return Environment(
        loader=PackageLoader("recipe_track.present.pages", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        finalize=_plain,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )


def _plain(value: Any) -> Any:
    """Acting characters of a text become symbols before it is escaped; our own drawings stay."""
    return visible_lines(value) if isinstance(value, str) and not isinstance(value, Markup) else value
