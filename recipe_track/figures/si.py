"""Factors into SI units: recipes are written in the units of the trade, and computed in these."""

MM, GRAM = 1e-3, 1e-3
KPA, MPA, GPA = 1e3, 1e6, 1e9
KN = 1e3
