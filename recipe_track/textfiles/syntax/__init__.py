"""TOML as text: what stands where, and every mistake in it."""
