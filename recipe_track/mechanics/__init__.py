"""What the physics says: arrays in, arrays out, SI units."""
