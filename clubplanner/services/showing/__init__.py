"""What several pages show alike: plans of pitches, the light, who else is there, selections."""
