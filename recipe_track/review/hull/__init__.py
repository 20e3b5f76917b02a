"""Hulls: what each was built with, what it weighs, what it lacks."""
