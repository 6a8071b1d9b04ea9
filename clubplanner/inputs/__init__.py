"""What a club brings in: its files, read into values and problems. Pure: text in, values and problems out."""
