"""The share-out from end to end, and in a process of its own.

The optimiser runs in a child process from a problem of its own frozen values, so that a problem can
become a file. From the pages it is a run: a row (`share_run`) and a process of its own
(`services/share_out/share_worker.py`) that outlives the server, gives a sign of life every second,
and is stopped by a flag in its row and a brake in its search. One run at a time; a silent one is
told as dead.
"""
