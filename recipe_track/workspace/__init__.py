"""Joins history, textfiles and recipe: what is written at a revision, or in the files as they lie."""

from recipe_track.workspace.assembly import Reading
from recipe_track.workspace.opening import WORKING, Revision, Workspace, open_workspace

__all__ = ["WORKING", "Reading", "Revision", "Workspace", "open_workspace"]
