"""What a club types and loads: its grounds, squads and settings.

Forms read like files. A squad's form is a row of the squads file:
`inputs/club_files/squads_file/squad_rows.py` writes what stands, the form puts its cells in, and
the whole table goes through the same reader and loader; a fault's row and column lead back to the
field. So both ways in have the same rules and the same words.

No wizard, no "are you sure". How far a new club is, is read from its records at each page
(`services/setup/first_steps.py`), so the way can be left and taken up anywhere. The journal tells
each request which changes it made; one that can be taken back is offered on the next page
(`webapp/base/taking_back.py`).
"""
