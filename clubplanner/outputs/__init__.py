"""What leaves the club: calendar feeds and ground plans. Pure: values in, bytes out."""
