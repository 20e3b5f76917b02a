"""Figures and impacts as strings, tables, pages and drawings."""
