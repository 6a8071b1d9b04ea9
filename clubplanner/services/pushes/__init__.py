"""Notices to phones: who asked for them, what they are told, and handing them over (Web Push).

Nobody is told who did not press the button in that very browser. What asks is a browser behind a
squad's or coach's address, or one in which a coach is signed in (`services/pushes/readers.py`);
it is forgotten when it switches off, signs out, its address is withdrawn, or its service says that
it is gone.

The outbox is the one of the mails (`services/mails`): a note that is soon becomes a notice a
browser and go of changes (`services/pushes/gathering.py`), by the same rules of when. Which notes
are done is kept apart (`pushed_notice`), so that neither waits for the other. Delivery
(`services/pushes/delivering.py`) is at least once, as that of mails, and shows once: the same
notice has the same number and tag at every try, and the phone's script rings for it once.

No secret of an address is stored, so that a notice behind one names the address by its number;
the phone itself remembers which page that is (`web/static/js/tell_phone.js`).
"""
