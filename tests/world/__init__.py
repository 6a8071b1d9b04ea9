"""A club that lives: whatever is done to its sessions, in any order, everybody's knowledge agrees.

`world.py` is the club and what people do to it; `calendars.py` is a calendar that knows nothing but
what it was sent, by the rules of the standard; the tests hold them to each other after each step.
"""
