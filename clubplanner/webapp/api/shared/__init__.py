"""Values of ground and squads that several rooms take and answer."""
