"""Shares a sports club's pitches out among its squads, and shows every coach their ground."""
