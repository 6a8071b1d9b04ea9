"""Problems and results as JSON.

Own code that stays, held against libraries that do it in November 2026. Files of a share-out
(`sharing/files/`): `msgspec` stops at the first fault; of nine in a test file `cattrs` tells five
and `pydantic` four as they come. With our ranges, fractions, dates and cells as its hooks `cattrs`
tells all nine and is exact, but that leaves it the walk through lists and records, some 50 of 700
lines: words, schema and limits of length stay ours, a fault inside a list of dates loses its place,
and without a stand-in what points to nothing is told a round later.
"""
