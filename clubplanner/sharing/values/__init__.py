"""What a share-out is asked, and what it comes to.

In which order a plan is best (`sharing/values/levels.py`). Sessions placed by priority, a squad's
first above its others; the worst-off squad's percentage of what it could have alone, plus what it
had above or below the average in the past; then the percent points of all squads under 60 (twice)
and 80; then the total of wishes, graded and about two squads; then cost; then dead minutes between
a pitch's sessions, each where the club wants it. Each keeps what those before reached and carries
value, bound and proved or gap. Max-min is carried no further: below those thresholds squads feel
it, above them the order of the well-off buys little for much search.
"""
