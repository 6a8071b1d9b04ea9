"""The share-out as an integer program."""
