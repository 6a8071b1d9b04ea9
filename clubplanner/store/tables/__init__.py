"""The tables. Every constraint has a name, so that a migration can find it again."""
