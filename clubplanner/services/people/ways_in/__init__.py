"""The ways in: passwords, addresses that sign in, browsers, tokens; counted, slowed and ended."""
