"""What fits on a ground; loads no store."""
