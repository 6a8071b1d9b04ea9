"""What goes out by mail."""
