"""From a recipe to numbers."""
