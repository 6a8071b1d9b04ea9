"""Rows of people: who may come in, who coaches a squad, who comes on an evening."""
