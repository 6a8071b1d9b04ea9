"""Equal boxes in a box: layouts, bounds and proofs."""
