"""What `import clubplanner` gives to a notebook or a program of one's own.

Rules that bind this package: nothing is decided here. A club read from files is put into records of
its own in a temporary folder, by the same services as the pages, so that a rule, a fault or a limit
is the same in a notebook. What is given back are the frozen values of `domain` and `sharing`,
wrapped only where a notebook shows them (`_repr_svg_`, `_repr_html_`). `clubplanner/__init__.py`
names the surface and loads it when a name is first used; `tests/library/surface.txt` holds it: a
name or a parameter that goes or changes raises the version's middle number as long as it begins
with 0, its first one afterwards; one that comes raises the middle number. Times are the club's own,
lengths metres, money as the club types it.
"""
