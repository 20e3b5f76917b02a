"""What is written: frozen models of every file of a recipe repository."""
