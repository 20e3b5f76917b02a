"""TOML as text: what stands where, and every slip in it."""
