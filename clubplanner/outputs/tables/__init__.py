"""Tables that leave the club, for spreadsheet programs."""
