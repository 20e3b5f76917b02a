"""What git itself calls, and how a clone is set up for it."""
