"""Addresses that are handed out."""
