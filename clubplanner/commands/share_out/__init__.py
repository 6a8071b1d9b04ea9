"""The share-out: from files, from the records, again, in turns."""
