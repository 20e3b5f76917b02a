"""The derivation of one zone's figures, line by line, for a checker to redo by hand."""

from recipe_track.figures.working.derivation import working_of
from recipe_track.figures.working.lines import Line, Section, Sheet, Value

__all__ = ["Line", "Section", "Sheet", "Value", "working_of"]
