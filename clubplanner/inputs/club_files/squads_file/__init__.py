"""The squads file: squads and what they ask for, read cell by cell and written back."""
