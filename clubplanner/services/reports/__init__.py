"""What a committee reads: who had which ground for how long, from one date to another.

`report.py` makes the report, `tables/report_tables.py` puts it into tables that page, workbook,
paper and command share, each with its definition. Every table adds up to the same: times are whole
seconds, ground is whole twelfths of square decimetres, money is rounded once for each pitch and
month, so sums are exact in whatever order they are made. Bookings are read once, as plain numbers
in arrays (`sums/booked_time.py`); who had how much, where and when is added up over them
(`sums/use_sums.py`), and laid side by side in time (empty ground, floodlights), all pitches at once
(`sums/pitch_times.py`).
"""
