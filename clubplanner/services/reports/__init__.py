"""What a committee reads: who had which ground for how long, from one date to another.

`report.py` makes the report, `report_tables.py` puts it into tables that page, workbook, paper and
command share, each with its definition. Every table adds up to the same: times are whole seconds,
ground is whole twelfths of square decimetres, money is rounded once for each pitch and month, so
sums are exact in whatever order they are made. What is summed by who, where and when is summed by
the database (`use_sums.py`); what has to be laid side by side in time (empty ground, floodlights)
is measured in arrays, all pitches at once (`pitch_times.py`).
"""
