"""Games laid on the ground: ways to play, ends, and what to carry out where."""
