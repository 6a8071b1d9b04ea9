"""What was changed, and taking it back."""
