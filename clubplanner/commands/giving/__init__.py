"""What squads ask for and give."""
