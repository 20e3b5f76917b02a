"""How the recipe came to be: its course, and the story of every layer."""
