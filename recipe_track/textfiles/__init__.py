"""How it is written: text to models and back, with the place of every problem."""
