"""From records to what a share-out has to solve: ground, days, asks, and the plan that stands.

A stretch keeps one weekly pattern. Dates on which a standing booking holds the ground are lost to
the pattern and listed; a place that would lose more than a quarter of its dates is not offered.
Unlit ground must be light on every date.
"""
