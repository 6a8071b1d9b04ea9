"""Who may come in, and how.

Ways in. Squad: an unguessable address that shows page, feed and maps and changes nothing.
Secretary: argon2id password, set through a one-time address from the console. Coach, groundskeeper:
no password; who asks in a browser gets an address that works only there (30 minutes, used up by a
button): by mail, where a server and their e-mail are known, else the secretary recognises the
request by four digits and hands the address over. One handed over unasked works once in the first
browser that uses it, within a day. All become server-side rows (`browser`) that either side can
end. Only SHA-256 hashes of secrets are stored. Attempts are counted in the database: a browser its
person used before (a signed mark in a cookie) by itself, a machine with growing waits, strangers
together under a brake, so that nobody is shut out by others; passwords within zxcvbn's first 10^10
guesses or made of own names are refused. A sign-in slides, noted once a day; changes and misses in
memory. Asking with an unknown name looks like asking with a known one.
"""
