"""What each rule means for the share-out, a file a rule, all of them listed in `book`."""
