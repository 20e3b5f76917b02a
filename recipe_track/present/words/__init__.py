"""Words and units: how figures and records are said, wherever they are shown."""
