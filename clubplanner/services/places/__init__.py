"""Where else a session could go.

A rule is overruled on purpose. Whoever puts or moves a booking by hand puts it there, then asks
`services/places/ruling.py`, which ends the transaction with `HinderedError` unless every rule that
stands in the way was told to the person (its words come back with the form) and a reason given.
Coaches, and whoever has to make room, are put on free ground only. Facts (a club's files, others'
calendars, undo) ask no rule.
"""
