"""Addresses: those handed out, who can open them, and which computers are anybody's to reach."""
