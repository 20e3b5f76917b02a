"""Widgets that draw lines of plain text and announce what was chosen."""
