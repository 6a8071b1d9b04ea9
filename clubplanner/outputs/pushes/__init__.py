"""Notices to phones: their words, their encryption, and the club's signature (Web Push).

Own code that stays, held against libraries that do it in November 2026. `cryptography` has what is
hard (P-256, HKDF, AES-GCM, ECDSA), in one wheel for CPython 3.11 and later, without a warning and
in 0.04 s at start. The order of its calls is RFC 8291 and RFC 8292, 60 lines. `pywebpush` 2.5 does
the same with `requests`, `aiohttp` and 17 packages more (0.42 s at start), two of them without a
wheel, and opens connections by itself: past our check of where the server may go, along redirects,
with a time limit for each wait only. `http-ece` and `py-vapid`, which it stands on, read what we
write in the tests instead, where they share no code with it.
"""
