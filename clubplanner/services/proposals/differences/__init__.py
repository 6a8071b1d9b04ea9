"""What publishing a proposal would change: held against what stands, in words, and as values."""
