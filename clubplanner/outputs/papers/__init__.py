"""What is printed.

The printed sheet is set by typst (Apache 2.0, one wheel for every Python, no system library, 10
ms): its source is a template, all words go in as JSON that is never evaluated, only our own fonts
are used. How large letters may be is worked out in Python (`outputs/papers/board_sheet.py`), so
that every evening is one page; below 20 pt the secretary is told.
"""
