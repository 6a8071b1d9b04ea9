"""Sharing out: anew, again, by hand and in turns; each run ends in a proposal."""
