"""What squads had so far."""
