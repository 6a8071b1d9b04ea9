"""What a club loads: settings, grounds, squads."""
