"""Tables that were pasted or dropped: looked at, asked about, and taken in as a whole.

What was sent is understood (`inputs/pasting`), put together with what the club knows already, and
read as our own files are: so every way in has the same rules and the same words. A look writes
into a transaction that is given up; taking in is the same again, kept. The table travels with the
page's form, with every correction in it: nothing of it is kept before it is taken in, and nothing
typed is lost. What the club said of a heading is kept with the records (`kept_headings.py`).
"""
