"""The year, light, grass, fairness, what needs a hand."""
