"""Do the tests notice a fault? Small faults are put in, one at a time, and the tests run.

    python -m tests.mutants [GROUP, MODULE or NUMBER OF A MUTANT …] [--list]

A *mutant* is the package with one small fault; it is *killed* when a test fails, and *survives*
when none does. A survivor is a test that is missing, or no fault at all: those stand, with the
reason, in `equivalents.toml` and are not counted. Works in a copy of the tree. Not in the gate: it
takes the better part of an hour. It needs `pip install -e '.[test,mutants]'`.
"""
