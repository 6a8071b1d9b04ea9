"""Rules about who, and how often."""
