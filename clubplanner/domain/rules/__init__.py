"""The rule book: may this session be here?

Each rule is one file, named in the words of the trade, in one of three rooms: `times`, `ground`,
`people`. It holds one pure function of a `Case` that answers with nothing or with a `Hindrance`.
`book.py` lists them; every page, command and mail that speaks of free ground asks it, and nobody
decides by themselves. What a rule means for the optimiser stands in a file of the same name under
`clubplanner/sharing/rules`; the independent checker (`clubplanner/sharing/checks`) shares neither.
"""
