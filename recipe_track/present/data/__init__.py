"""Answers for other programs: JSON objects and comma-separated values."""
