"""What a share-out is asked, and what it comes to."""
