"""Many clubs on one server: which there are, and the records of each.

A list (`clubs/listing.py` says its form) names the clubs; `clubs/at_hand.py` keeps it as it is now
and opens each club's records. Everything of a club is made from its own records and its own
settings: pages (`webapp/clubs`), sign-ins, form secrets, limits, push keys, figures, deliveries. No
two clubs share anything but the process, its templates, its static files and its threads.
"""
