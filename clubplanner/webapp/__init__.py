"""The Flask app."""
