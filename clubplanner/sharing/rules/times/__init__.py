"""Rules about when."""
