"""Messages to other programs, signed (https://www.standardwebhooks.com)."""
