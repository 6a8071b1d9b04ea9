"""The share-out from end to end, and in a process of its own.

What fits one model is searched where it is asked for, or in a child (`process.py`), from a problem
of its own frozen values, so that a problem can become a file. What does not is shared out in parts
(`in_parts.py`) by a crew of children (`crew.py`), none of which may have more than its part of the
memory allowed (`sizes.py`, `memory.py`). Sharing out again what is too large keeps what stands, and
looks at some pitches round the change at a time, in one process (`again_in_parts.py`).

From the pages it is a run: a row (`share_run`) and a process of its own
(`services/share_out/runs/share_worker.py`) that outlives the server, gives a sign of life every
second, and is stopped by a flag in its row and a brake in its search. One run at a time; a silent
one is told as dead.
"""
