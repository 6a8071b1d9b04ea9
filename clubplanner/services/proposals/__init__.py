"""What a share-out proposes: kept, looked at, compared, published."""
