"""Give and take between squads: hand back, ask, wait, change places.

Free ground goes by fair turn. An ask is served at once where ground is free; else it waits.
Whatever becomes free (handed back, opened again) is offered to the list in the order of
`domain/booked/waiting.py`: least granted from this list so far, worst served this season, first
come. What a coach got this way is fixed, so a share-out goes round it; the secretary grants,
refuses, or takes back under “Changes”. Changing places needs the other coach and lapses when either
session was changed since.
"""
