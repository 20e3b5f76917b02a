"""What keeps a decision true: which edits on main a decision covers, out of plain values."""

from recipe_track.trail.edits import NONE, Change, Commit, Edit, subject_of
from recipe_track.trail.landing import walk
from recipe_track.trail.verdict import Finding, Landing, NotLanded, Verdict

__all__ = [
    "NONE",
    "Change",
    "Commit",
    "Edit",
    "Finding",
    "Landing",
    "NotLanded",
    "Verdict",
    "subject_of",
    "walk",
]
