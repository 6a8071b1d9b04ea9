"""Tables that leave the club, for spreadsheet programs.

A `Table` (`table.py`) has columns of a kind each, cells that are dates, minutes, numbers, and no
words yet. `text_files.py` writes it as CSV, `workbooks.py` as XLSX, `map_files.py` ground as
GeoJSON, in the language spoken. XlsxWriter writes: 50,000 rows in 2.1 s and 77 MB (in 2.9 s and
none by files of its own, which stay behind if it is interrupted), openpyxl in 8.0 s
(`python -m tests.benchmarks.workbooks`); it cannot read, so there are two libraries, each for what
it does best (`inputs/reading/sheets.py`).
"""
