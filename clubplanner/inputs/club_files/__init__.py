"""The club's own files: settings, squads, game sizes and fixtures."""
