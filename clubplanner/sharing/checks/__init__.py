"""The independent check of plans and results."""
