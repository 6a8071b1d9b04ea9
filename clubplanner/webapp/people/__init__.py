"""Ways in and out, one's own page, and the people page."""
