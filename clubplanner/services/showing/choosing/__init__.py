"""Selections in forms, and a few of very many."""
