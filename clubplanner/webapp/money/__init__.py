"""Money: tariffs, what is owed for a month, and statements; for the secretary."""
