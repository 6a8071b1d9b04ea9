"""What a share-out proposes: kept, looked at, compared, published.

Publishing keeps identity. Equal bookings stay; a squad's others are moved within their week (same
UID, next SEQUENCE); only the rest is withdrawn or added. Rows are lifted first, so two squads can
swap. What a person booked or moved by hand is fixed: a share-out goes round it.

Every share-out ends in one kind of proposal (`services/proposals/proposals.py`): sessions with
their dates, the dates and squads it decides about, and ground to close. `differences.py` holds it
against what stands, and the same answer is shown and published. `share_out_id` on a booking tells
who put it there: with `is_fixed` a person moved it since, so it stands in for a session of its
week. Standing training is read from bookings for an evening or a week, from the last weekly
proposal for the rest of a stretch.
"""
