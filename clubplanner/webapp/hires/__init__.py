"""Pages about hires: ground for somebody from outside."""
