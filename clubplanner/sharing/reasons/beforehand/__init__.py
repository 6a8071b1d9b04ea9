"""What will go wrong, found before anything is shared out, and changes that would help."""
