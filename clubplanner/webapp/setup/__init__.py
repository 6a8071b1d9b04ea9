"""Pages on which a club types and loads its grounds and squads."""
