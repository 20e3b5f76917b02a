"""Mutants of the example's files: whatever is in a file, it is read, told or computed, and that ends."""
