"""What fits on ground that is given by its size or outline, without a club."""
