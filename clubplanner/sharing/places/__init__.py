"""The places that the rules leave and the wishes weigh: listed, merged, chosen one by one."""
