"""Hires, what they cost, and statements."""
