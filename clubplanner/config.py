"""What a person may set from outside, by option or environment."""

from __future__ import annotations

import os
import re
from dataclasses import dataclass, field
from datetime import time

from clubplanner.domain.club.notices import QuietHours
from clubplanner.errors import RefusedError
from clubplanner.language import _

DEFAULT_DATABASE = "sqlite:///clubplanner.sqlite"
USUAL_PORT = 8000
ENVIRONMENT_PREFIX = "CLUBPLANNER_"


DEFAULT_QUIET = QuietHours(time(21, 30), time(7))
LOG_LEVELS = ("debug", "info", "warning", "error")
LOG_FORMS = ("lines", "json")
LEAST_KEY = 16
"""Letters of a key that opens figures: nobody guesses so many."""
SMTP_PORTS = {"starttls": 587, "tls": 465, "none": 25}
_ADDRESS = re.compile(r"https?://([\w.-]+|\[[0-9A-Fa-f:.]+\])(:\d{1,5})?(/[\w.~-]+)*")
_HOST = re.compile(r"((?:[A-Za-z0-9_-]+\.)*[A-Za-z0-9_-]+|\[[0-9A-Fa-f:.]+\])(?::(\d{1,5}))?")
_QUIET = re.compile(r"([01]\d|2[0-3]):([0-5]\d)-([01]\d|2[0-3]):([0-5]\d)")


@dataclass(frozen=True, slots=True)
class MailServer:
    """The server that takes our mails; CLUBPLANNER_SMTP_… and CLUBPLANNER_MAIL_FROM.

    Attributes:
        host: Its name; CLUBPLANNER_SMTP_HOST. Without it no mail is sent.
        port: CLUBPLANNER_SMTP_PORT; 587, 465 or 25 as the security goes.
        security: "starttls", "tls" or "none"; CLUBPLANNER_SMTP_SECURITY.
        user: Blank for no sign-in; CLUBPLANNER_SMTP_USER.
        password: CLUBPLANNER_SMTP_PASSWORD; never printed.
        sender: The club's own mail address; CLUBPLANNER_MAIL_FROM.
    """

    host: str
    port: int
    security: str
    user: str
    password: str = field(repr=False)
    sender: str


@dataclass(frozen=True, slots=True)
class NearHost:
    """A computer on the club's own network from which calendars may be read.

    Attributes:
        name: Its name or address as it stands in the calendars' addresses, in small letters;
            without brackets.
        port: The only one that is asked; 0 for the usual ones of http and https.
    """

    name: str
    port: int = 0


@dataclass(frozen=True, slots=True)
class Config:
    """Settings of one running planner.

    Attributes:
        database: SQLAlchemy address; CLUBPLANNER_DATABASE.
        public_address: How people reach the pages, without a slash at the end, such as
            "https://pitches.example.org" or, where the host serves other things, too,
            "https://town.example.org/pitches"; CLUBPLANNER_PUBLIC_ADDRESS. Blank where it is not
            set: then `services/addresses/public_address.py` decides.
        proxies: How many servers of the club's own stand in front, each adding where a request
            came from (X-Forwarded-For); 0 believes no such header. CLUBPLANNER_PROXIES.
        mail_server: Takes our mails; None to send none.
        quiet: When mails wait for the morning; CLUBPLANNER_QUIET_HOURS, such as "21:30-07:00".
        calendar_host: The one computer of the club's own network from which calendars may be
            read; CLUBPLANNER_CALENDAR_HOST, such as "hall.club.lan" or "hall.club.lan:8080". None:
            calendars are read from public computers alone. It is no setting of a page, since
            whoever had come in by a page could otherwise look round on the network.
        metrics_key: Opens the figures at /metrics; CLUBPLANNER_METRICS_KEY, 16 letters or more.
            Blank: they are not there.
        log_level: "debug", "info" (an entry for each request), "warning" or "error";
            CLUBPLANNER_LOG_LEVEL.
        log_form: "lines" or "json"; CLUBPLANNER_LOG_FORM.
    """

    database: str = DEFAULT_DATABASE
    public_address: str = ""
    proxies: int = 0
    mail_server: MailServer | None = None
    quiet: QuietHours = DEFAULT_QUIET
    calendar_host: NearHost | None = None
    metrics_key: str = field(default="", repr=False)
    log_level: str = "warning"
    log_form: str = "lines"


def config_from_environment() -> Config:
    """Read the configuration from the environment, defaults where nothing is set.

    Raises:
        RefusedError: Naming the setting that cannot be read; never its value.
    """
    return Config(
        database=os.environ.get(f"{ENVIRONMENT_PREFIX}DATABASE", DEFAULT_DATABASE),
        public_address=_public_address(),
        proxies=_small_number(os.environ.get(f"{ENVIRONMENT_PREFIX}PROXIES", "")),
        mail_server=_mail_server(),
        quiet=_quiet_hours(),
        calendar_host=_calendar_host(),
        metrics_key=_metrics_key(),
        log_level=_one_of("LOG_LEVEL", LOG_LEVELS, "warning"),
        log_form=_one_of("LOG_FORM", LOG_FORMS, "lines"),
    )


def _small_number(text: str) -> int:
    """Return a number of 0 to 9; 0 for anything else, which is the careful choice."""
    return int(text) if text in "0123456789" and text else 0


def _setting(name: str, usual: str = "") -> str:
    return os.environ.get(f"{ENVIRONMENT_PREFIX}{name}", usual).strip()


def _public_address() -> str:
    """Return the address that is set, checked: half an address would be in every mail."""
    text = _setting("PUBLIC_ADDRESS").rstrip("/")
    if text and _ADDRESS.fullmatch(text) is None:
        raise RefusedError(
            _(
                "Set CLUBPLANNER_PUBLIC_ADDRESS to a whole address without “?” or “#”, such as "
                "https://pitches.example.org or https://town.example.org/pitches."
            )
        )
    return text


def _mail_server() -> MailServer | None:
    host = _setting("SMTP_HOST")
    if not host:
        return None
    security = _setting("SMTP_SECURITY", "starttls")
    if security not in SMTP_PORTS:
        raise RefusedError(_("Set CLUBPLANNER_SMTP_SECURITY to starttls, tls or none."))
    port = _setting("SMTP_PORT", str(SMTP_PORTS[security]))
    if not port.isdecimal() or not 0 < int(port) < 65_536:
        raise RefusedError(_("Set CLUBPLANNER_SMTP_PORT to a number from 1 to 65535."))
    sender = _setting("MAIL_FROM")
    if not re.fullmatch(r"[^@\s<>]+@[^@\s<>]+", sender):
        raise RefusedError(
            _(
                "Set CLUBPLANNER_MAIL_FROM to the club's own mail address, such as "
                "pitches@club.example; mails are sent from it."
            )
        )
    user = _setting("SMTP_USER")
    return MailServer(host, int(port), security, user, _setting("SMTP_PASSWORD"), sender)


def _calendar_host() -> NearHost | None:
    text = _setting("CALENDAR_HOST")
    if not text:
        return None
    found = _HOST.fullmatch(text)
    port = int(found[2] or 0) if found else 0
    if found is None or port > 65_535 or (found[2] and not port):
        raise RefusedError(
            _(
                "Set CLUBPLANNER_CALENDAR_HOST to the name of one computer, such as hall.club.lan "
                "or hall.club.lan:8080; without https:// and without a path."
            )
        )
    return NearHost(found[1].strip("[]").lower(), port)


def _metrics_key() -> str:
    key = _setting("METRICS_KEY")
    if key and len(key) < LEAST_KEY:
        raise RefusedError(
            _("Set CLUBPLANNER_METRICS_KEY to %(count)s letters or more.", count=LEAST_KEY)
        )
    return key


def _one_of(name: str, known: tuple[str, ...], usual: str) -> str:
    text = _setting(name, usual).lower()
    if text not in known:
        raise RefusedError(
            _(
                "Set %(name)s to one of these: %(known)s.",
                name=f"{ENVIRONMENT_PREFIX}{name}",
                known=", ".join(known),
            )
        )
    return text


def _quiet_hours() -> QuietHours:
    text = _setting("QUIET_HOURS")
    if not text:
        return DEFAULT_QUIET
    found = _QUIET.fullmatch(text)
    if found is None:
        raise RefusedError(
            _(
                "Set CLUBPLANNER_QUIET_HOURS to two times of day, such as 21:30-07:00, or to "
                "00:00-00:00 for none."
            )
        )
    first, second, third, fourth = (int(part) for part in found.groups())
    return QuietHours(time(first, second), time(third, fourth))
