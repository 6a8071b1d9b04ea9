"""Why a session has no place, or not a better one, and what would help."""
