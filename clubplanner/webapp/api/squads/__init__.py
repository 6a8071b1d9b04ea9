"""Squads with their people, their seasons, and sharing ground out among them."""
