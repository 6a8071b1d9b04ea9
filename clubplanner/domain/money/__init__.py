"""What ground costs: tariffs, reductions, and what somebody owes for a month, line by line.

Amounts are whole numbers of the smallest unit of the club's currency (cents), so that they sort and
sum the same everywhere. What an hour costs is decided in `tariffs.py`, for statements, the pages of
light and the share-out alike. Between a tariff and an amount everything is an exact fraction; it is
rounded once, where a line of a statement is made (`lines.py`), so that the lines add up to the sum
that stands below them. No payments and no taxes.
"""
