"""The independent check of plans and results.

Who checks the optimiser. All of it shares values and named points with it, nothing else; what is
not derived again `believed` lists, and of turns `turns_told`. The tests compare it with every plan
of tiny problems, with HiGHS on a model written cell by cell, and with published timetabling
instances.
"""
