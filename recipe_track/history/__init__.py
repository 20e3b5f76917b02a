"""What git remembers: the only room that imports git."""
