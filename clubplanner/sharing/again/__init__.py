"""The re-share: as few changes as can be."""
