"""Rules about the ground: who has it, what it is, and how much it bears."""
