"""The journal's rows as frozen values, and since when its numbers count."""
