"""Addresses that are handed out: made, looked up, and who can open them."""
