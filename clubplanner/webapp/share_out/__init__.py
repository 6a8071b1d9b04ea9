"""Pages of share-outs and proposals."""
