"""Answers as pages: dossier, layup sheet, drawings, Markdown."""
