"""Running the search, and bettering a plan piece by piece.

A first plan is made one session after the other and bettered by taking sessions out and putting
others in (`places/refilling.py`); it is told before the model of the whole is written, which takes
seconds on finely cut ground. Then a plan is searched relaxed, laid out, put right, polished. For
placing, where there is time, whole evenings of pitches come before the polish: they bound it and
make a plan (`evenings.py`); then all of some days is placed anew with the others held
(`whole_days.py`), and evenings are held one after the other, the rest priced and filled anew
(`diving.py`), which finds the last sessions where nearly all fit; each plan made of evenings is
bettered by exchanges as well. Where that is not the best, all plans are divided by who trains on
which day, and evenings filled for one lot of plans after the other (`branching.py`; lots in
`lots.py`, the linear program of a lot in `branch_program.py`, what goes together on a day in
`days.py`). With many evenings of pitches placing does without the model of the whole, without whole
days and without dividing, and gives that time to evenings (`placing.py`). Points in placing have
steps, and every bound is lowered to the next number that sessions can come to
(`model/measures.py`). Equal parts of a pitch share one variable and count by weight; which third is
whose is decided afterwards, a pitch and evening at a time. Where that fails, those concerned are
placed anew with exact rows and everybody else held; the model of the whole gets these rows only
where nothing as good comes of it (`search.py`). How well the worst-off squad can be served is asked
value by value (`narrowing.py`). Then a few squads at a time
are freed and placed exactly (`polish.py`), which alone makes the plans of clubs too large for one
model (over 40,000 slots; they have only the bounds of each squad by itself). What an aim needs
enters the model when that aim is worked on: with everything in from the start, placing on the tight
club was never proved; now it sometimes is.
"""
