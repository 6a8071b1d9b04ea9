"""Addresses: those handed out, who can open them, and which computers are anybody's to reach.

Addresses that are handed out begin with one public address
(`services/addresses/public_address.py`): the one set in CLUBPLANNER_PUBLIC_ADDRESS, else where the
process serves. A server notes its address in the records (`served`) once it has its port, so that
commands and mails made by other processes use it. The host that a request names counts nowhere:
anybody can forge it, and addresses go into mails and codes. Two servers of one club: each hands out
its own, commands the one that began last. Who can open an address, and the words where not
everybody can, are `services/addresses/reach.py`; pages include `_reach.html`, commands print with
`commands/base/handing_out.py`.
"""
