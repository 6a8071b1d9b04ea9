"""Rules about when: hours, light, age, breaks, and what the squad asked for."""
