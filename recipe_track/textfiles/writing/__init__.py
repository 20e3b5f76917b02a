"""New files, edits of whole lines, two edits joined."""
