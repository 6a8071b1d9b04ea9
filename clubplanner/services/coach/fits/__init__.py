"""What fits on a squad's ground: on its page, in pictures, kept for when there is no signal."""
