"""Fair turns over the weeks of a plan."""
