"""What each rule means for the share-out, a file a rule, all of them listed in `book`.

A rule of the share-out is one file (`sharing/rules/{times,ground,people}/`): its masks over grounds
and starts, what it says of two sessions or of a whole plan, its rows in the model, and its words,
all listed in `rules/book.py`, which everybody asks. What it looks up is a function of the terrain
marked with `once`, in the same file. Wishes are kept alike (`sharing/wishes/`). The checker
(`sharing/checks/`) says every rule again and sees only values; `tests/sharing/rules/oracle.py`
holds each rule to it: the places it marks, and all plans that the model lets pass. A field that an
ask gains later stays out of `digest` while it is not given.

Rules that bind more than two sessions (evenings in a row, load limits a week) are rows of the
model, and a check of their own wherever places are called free. Pinned sessions may break them;
nothing is added to what they break. A session on a third of a pitch wears it a third, rounded up to
a minute.
"""
