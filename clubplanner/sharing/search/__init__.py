"""Running the search, and bettering a plan piece by piece."""
