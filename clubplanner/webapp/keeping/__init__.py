"""What is kept of people: the privacy page, what is kept of somebody, erasing, and the periods."""
