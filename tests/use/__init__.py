"""The program as it is installed, used as people use it.

A wheel, unpacked; a process; an empty folder; a port of its own; the machine's own clock. Nothing
here imports a service or stops a clock: what is done is done by commands, pages and forms.
"""
