"""The re-share: as few changes as can be.

Why near the standing plan first? Almost all that comes up is put right by few, and who takes
another place puts others out of theirs: added up without a search (`reshare_reach.py`), most places
cannot be in a plan that disturbs as few squads or moves as little as one that is known. Without
them the model is small enough to be solved to its end, and every plan that it does not know is
worse by the sum. Where few cannot put it right (a pitch closed for good), the model of every part
is searched by one worker, whatever the effort has: the solver's linear relaxation with the exact
rows of ground proves there who is disturbed, and its two workers beside each other do not. A bound
says too much as soon as one plan is left out wrongly:
`tests/sharing/again/test_reshare_reach.py` holds it against every plan of drawn problems.

There it is asked value by value (`reshare_fewest.py`), from what the linear relaxation proves
(`reshare_relaxed.py`), on places that no other can stand in for (`reshare_dominance.py`).

The way is then searched set by set (`reshare_sets.py`): with the squads known who are disturbed it
is soon proved, and where no fewer can be, that no other set is left is one question more.

Where not all can be placed a plan is bettered without a model first (`places/refilling.py`), then
by the same model with all workers, which find more there than one, then by whole days
(`search/whole_days.py`), if steps are left.

What nobody could place in the problem as it was, nobody can in what a change has left of it
(`carried.py`): where the plan that stands was proved and can still stand, placing is proved at
once, and plans near it are those that place as much.

What is left out: where a pitch is closed for good the way is proved only if there are few sets of
as few squads, which take their time each. Tried for who is
disturbed (40 squads) and not kept: equal parts merged, which proves and finds less, since most such
plans cannot be laid out beside the sessions that stay; evenings of pitches as columns with prices,
their rows in the merged model, reduced costs, and a branch-and-bound of HiGHS. For the way: some
squads freed at a time, which in 2 steps finds no more than whole days in 0.4; evenings as columns,
which raise its relaxed bound by less than a point; reduced costs, which leave hardly a place out.
A bound that nobody carries over is, where not all can be placed, as hard as in a share-out.
"""
