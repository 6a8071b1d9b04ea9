"""A week of a proposal: its facts, its words, and what is drawn of it."""
