"""What each wish is worth, a file a wish."""
