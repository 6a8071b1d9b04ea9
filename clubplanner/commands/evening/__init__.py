"""One day: closures and matches."""
