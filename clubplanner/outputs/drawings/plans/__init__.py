"""Plans: a pitch drawn to scale with who is where, what is laid and how one finds it."""
