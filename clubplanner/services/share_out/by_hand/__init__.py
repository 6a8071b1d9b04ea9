"""A plan asked about and changed by a person: other places, what if, two beside each other."""
