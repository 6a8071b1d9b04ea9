"""What a club brings in: its files, read into values and problems.

Pure: text in, values and problems out. Every fault of a file is found in one reading, each with
its place and what to write instead. A reader gives the values it could make as well; the caller
uses them only when there is no problem.
"""
