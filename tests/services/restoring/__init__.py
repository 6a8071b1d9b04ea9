"""Tests of bringing a club back from a backup."""
