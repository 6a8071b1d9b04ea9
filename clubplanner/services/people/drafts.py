"""What can be wrong with what is said of a person, whoever says it: a form or a command."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.domain.club.persons.coaches import LONGEST_PHONE, is_phone
from clubplanner.domain.problems import Problem
from clubplanner.language import _

if TYPE_CHECKING:
    from collections.abc import Iterator

    from clubplanner.services.people.people import PersonDraft

LONGEST_NAME = 80
LONGEST_EMAIL = 254


def faults_of_draft(draft: PersonDraft) -> tuple[Problem, ...]:
    """Return what is wrong with a draft before anybody's records are asked, field by field."""
    return tuple(_faults(draft))


def email_fault(email: str) -> str:
    """Say what is wrong with an e-mail address; blank for nothing, and for a blank one."""
    name, at, host = email.rpartition("@")
    if email and (not at or not name or "." not in host or " " in email):
        return _("Enter an e-mail address like robin@example.org, or leave it blank.")
    return ""


def _faults(draft: PersonDraft) -> Iterator[Problem]:
    longest = {"name": LONGEST_NAME, "email": LONGEST_EMAIL, "phone": LONGEST_PHONE}
    given = {"name": draft.name, "email": draft.email, "phone": draft.phone}
    for field, value in given.items():
        if len(value) > longest[field]:
            words = _("Use at most %(most)s characters here.", most=longest[field])
            yield Problem(field, "form", words)
    if not draft.name or any(mark in draft.name for mark in ";<>"):
        words = _("Enter the person's name, without semicolon and angle brackets.")
        yield Problem("name", "form", words)
    fault = email_fault(draft.email)
    if fault:
        yield Problem("email", "form", fault)
    if draft.phone and not is_phone(draft.phone):
        words = _(
            "Enter digits, with blanks between them and a plus sign in front if you like, or "
            "leave it blank."
        )
        yield Problem("phone", "form", words)
