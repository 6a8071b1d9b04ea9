"""How the fonts of other scripts were made, and what they hold."""
