"""The use cases: one function, one transaction.

A service loads frozen values, calls pure code, and writes rows. It knows no request, no form and
no exit code; what a person can be told is an exception of `clubplanner.errors`.
"""
