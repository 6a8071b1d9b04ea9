"""The independent check of plans and results.

Who checks the optimiser. `checking`, `worth` and `verifying` share values and named points with it,
nothing else; the tests compare it with every plan of tiny problems, with HiGHS on a model written
cell by cell, and with a published timetabling instance.
"""
