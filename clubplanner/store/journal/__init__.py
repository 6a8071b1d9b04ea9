"""What the journal keeps of each change, in the change's own transaction, and whom it tells."""
