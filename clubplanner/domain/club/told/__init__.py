"""What people are told: changes, the coming weeks, what a season has in store."""
