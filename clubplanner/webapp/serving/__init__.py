"""How answers are sent and told: compressed, kept, limited, in the reader's language.

Static files have one fingerprint together, in their address (`webapp/serving/static_files.py`):
relative addresses of fonts and scripts stay within it, nothing is rewritten, all are kept for a
year. Consequences: an upgrade fetches all of them again (about 100 kB); they are read once a
process, so restart to see a change; a file must never name another from the root. The service
worker keeps two versions of each.

Text is compressed by gzip of the standard library (`webapp/serving/compression.py`): 52 kB become 6
kB in 1 ms, static files once; brotli would save somewhat more (not measured) for another
dependency. Each form has an ETag of its own. Why that gives no secret away stands in the module.

Lengths follow the reader (`domain/ground/orientation/measures.py`): a context variable that
`webapp/serving/measures.py` sets from a cookie; calendars and pictures that are passed on stay in
metres and yards. Published sizes stay in the unit they were published in.

Plans lie as the reader chose in the same way (`domain/ground/orientation/facing.py`,
`webapp/serving/facings.py`): long side across, the way in at the bottom or north at the top.

Own code that stays, held against libraries that do it in November 2026. Limits
(`webapp/serving/limits.py`): Flask-Limiter counts in memory as well, or in Redis, Memcached or
MongoDB, which no club has. Once several processes serve, a table as for sign-ins is nearer.
"""
