"""A stretch or an evening shared out anew, a venue alone, and what will go wrong, said before."""
