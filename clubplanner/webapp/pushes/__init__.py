"""Switching notices to a phone on and off, by a script on the page that asks the browser."""
