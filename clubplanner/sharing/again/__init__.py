"""The re-share: as few changes as can be.

Why near the standing plan first? Almost all that comes up is put right by few, and who takes
another place puts others out of theirs: added up without a search (`reshare_reach.py`), most places
cannot be in a plan that disturbs as few squads or moves as little as one that is known. Without
them the model is small enough to be solved to its end, and every plan that it does not know is
worse by the sum. Where few cannot put it right (a pitch closed for good), equal parts are merged as
in a share-out, but for where squads stand (`reshare_outline.py`), which proves more and finds more
than a model of every part. A bound says too much as soon as one plan is left out wrongly:
`tests/sharing/again/test_reshare_reach.py` holds both against every plan of drawn problems.

What nobody could place in the problem as it was, nobody can in what a change has left of it
(`carried.py`): where the plan that stands was proved and can still stand, placing is proved at
once, and plans near it are those that place as much.

What is left out: where a pitch is closed for good, who is disturbed and the way are seldom proved.
Tried there (40 squads, disturbed 8 at best, relaxed bound 4.3): evenings of pitches as columns with
prices for staying and for each ask give 6.3 after 10 s of the processor, where the solver's own
search of the merged model has 7 after 6 s; those evenings' rows in the merged model, 7 after 1.4 s
more and no further; at such prices not one place is too dear to be in a better plan; a
branch-and-bound of HiGHS on the same rows does not settle 7 in 1,500 nodes. A bound that nobody
carries over is, where not all can be placed, as hard as in a share-out.
"""
