"""Which keys a file may have, and what is said of those it may not."""
