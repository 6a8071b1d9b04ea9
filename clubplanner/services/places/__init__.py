"""Where else a session could go."""
