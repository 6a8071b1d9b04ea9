"""What is said of the club as a whole: its name, its terms of money, how long it keeps things."""
