"""The re-share: as few changes as can be.

Why near the standing plan first? Almost all that comes up is put right by few, and who takes
another place puts others out of theirs: added up without a search (`reshare_reach.py`), most places
cannot be in a plan that disturbs as few squads or moves as little as one that is known. Without
them the model is small enough to be solved to its end, and every plan that it does not know is
worse by the sum. Where few cannot put it right (a pitch closed for good), equal parts are merged as
in a share-out, but for where squads stand (`reshare_outline.py`), which proves more and finds more
than a model of every part. A bound says too much as soon as one plan is left out wrongly:
`tests/sharing/again/test_reshare_reach.py` holds both against every plan of drawn problems.

What is left out: the way where many move has a weak bound, and where not all can be placed the
first aim is as hard as in a share-out.
"""
