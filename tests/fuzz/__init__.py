"""Requests and files that nobody means well with, drawn from a seed, and what may never follow.

`python -m tests.fuzz requests` sends as many as one has time for; the tests here send the first
of them. A round begins with the same club and draws from its own number, so that what a round
found is found again by `--first ROUND --rounds 1`.
"""
