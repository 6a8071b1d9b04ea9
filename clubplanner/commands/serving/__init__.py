"""What runs for long: pages, worker, demo; and the paper on running it."""
