"""Who had which ground, from one date to another."""
