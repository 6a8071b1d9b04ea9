"""Pages of give and take, for coaches and the secretary."""
