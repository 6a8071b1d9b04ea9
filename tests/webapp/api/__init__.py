"""The JSON API, asked as programs ask it."""
