"""Money: tariffs and statements."""
