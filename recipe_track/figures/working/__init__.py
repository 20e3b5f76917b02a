"""The derivation of one zone's figures, line by line, for a checker to redo by hand."""

from recipe_track.figures.working.derivation import working_of
from recipe_track.figures.working.lines import CalculationSheet, Chapter, Grid, Line, Value

__all__ = ["CalculationSheet", "Chapter", "Grid", "Line", "Value", "working_of"]
