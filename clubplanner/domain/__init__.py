"""Frozen values and pure rules: times, daylight, grounds, squads, asks, clashes.

Pure: the clock and the time zone are arguments.
"""
