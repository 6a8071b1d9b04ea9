"""What a share-out proposes: looked at, changed by hand, published."""
