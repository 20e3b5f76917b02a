"""Laminate recipes of small craft as text in git: what a revision changes, what it does, and why."""

__version__ = "0.1.0"
