"""When things are: stretches, seasons that were begun, each squad's own."""
