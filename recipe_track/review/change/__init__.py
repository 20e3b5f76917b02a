"""One change: what it does, why, whom it reaches, what it asks for."""
