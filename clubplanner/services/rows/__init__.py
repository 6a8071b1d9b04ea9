"""Reading and writing rows for every use case."""
