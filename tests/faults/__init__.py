"""Faults on purpose: commands at once, kills, odd layouts, foreign programs, full disks, odd files."""
