"""What every page needs: state, forms, who may open what, faults.

Who may open what is a mark on each view (`webapp/base/security.py`: `for_secretary`, `for_roles`,
`for_signed_in`, `for_anybody`, `by_address`). One check before every request holds people to it; an
app with an unmarked view is not made; the table of every route × role in
`tests/webapp/base/test_security_access.py` must name each route. Whose an object is, is the
service's question, and "not yours" looks like "not there"; the secretary of a club within the
record is told who may. `current_person()` says who is looking.

A form does its work once. `forms.token()` writes a token into each form beside the one against
other sites. The first request claims it (`sent_form`); a second press waits for the first one's
answer and lands on the same page; a form with faults is released. The work's own transaction notes
that it has begun and that the claim still holds (`store/claims.py`), so a claim whose server died
is taken up after seconds and nothing is done twice. Whoever changes something older than what
stands is told what stands now, and keeps what they typed.
"""
