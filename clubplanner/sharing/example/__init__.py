"""Invented problems of any size."""
