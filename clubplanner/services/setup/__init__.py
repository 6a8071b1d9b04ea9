"""What a club types and loads: its grounds, squads and settings."""
