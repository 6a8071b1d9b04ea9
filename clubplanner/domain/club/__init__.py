"""Squads, people, the club's own rules, and what they are told."""
