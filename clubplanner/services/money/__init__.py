"""Money: what was used in a month, what it costs by the tariffs, and the statements issued.

`uses.py` says what took place and what was withdrawn too late; `drafts.py` makes a month's lines of
it by `domain/money`; `statements.py` issues them under the next number and takes them back. What is
issued holds its own lines, so that nothing that changes later reaches it. `floodlights.py` is where
others ask what floodlights cost.
"""
