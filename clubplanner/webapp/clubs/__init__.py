"""Many clubs' pages in one process: each club's own app behind one door.

`dispatch.py` gives a request to the club whose host or path it asks for; its app is made when it is
first asked for (`served_club.py`), with a secret, cookies, limits and figures of its own. What is
for no club (`front.py`) says so plainly, tells whoever runs the server how all clubs are
(`watched_all.py`), and stands in for a club whose records cannot be used.

Two clubs on one host. A browser sends a cookie to all below its path (RFC 6265, section 5.1.4), and
a service worker sees to all below its own; so no club's path may lie within another's. What a
cookie holds is worth nothing at another club in any case: a session is signed with the club's own
secret, a sign-in is looked up in the club's own records.
"""
