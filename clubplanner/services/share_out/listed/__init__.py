"""Proposals to choose from and to take away: what they are called, and their tables."""
