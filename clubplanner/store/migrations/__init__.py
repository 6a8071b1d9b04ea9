"""The database's history, a file a step; run by `clubplanner.store.upkeep.migrate`."""
