"""What is true of sessions: on, moved, off or on with a condition, and what lies ahead."""
