"""The coach's start page, and a squad's ground behind its address.

Without signal. `static/js/service_worker.js` keeps coach, squad and evening pages that were looked
at (network first, kept copy after 4 s), never those with typed numbers. For these
`static/js/kept_fits.js` keeps answers in the background, and `static/js/live_fits.js` shows them
where the network does not answer: only for the same ground, neighbours and kit, which a digest
tells, with the time of fetching. Pages carry a hidden sentence with the time of fetching, which the
worker uncovers. Signing out, signing in, or being led to sign in forgets all that belongs to an
account.
"""
