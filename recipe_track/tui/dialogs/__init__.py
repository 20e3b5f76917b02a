"""Dialogs: each asks one thing and returns a value, or None when it is left."""
