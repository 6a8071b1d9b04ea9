"""What was changed, in words, and taking it back."""
