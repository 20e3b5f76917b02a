"""What a change does."""
