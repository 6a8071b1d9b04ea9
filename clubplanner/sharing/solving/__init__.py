"""The share-out from end to end, and in a process of its own."""
