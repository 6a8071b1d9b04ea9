"""Clock times, windows, zones, seasons and daylight."""
