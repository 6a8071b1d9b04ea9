"""What a person may set from outside, by option or environment."""

from __future__ import annotations

import os
import re
from dataclasses import dataclass, field
from datetime import time
from typing import TYPE_CHECKING

from clubplanner.domain.club.told.notices import QuietHours
from clubplanner.errors import RefusedError
from clubplanner.language import _

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

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
        club: The short name of the club, where a list says which clubs there are; else blank.
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
        clubs_file: The list of the clubs of this server (`clubs/listing.py`); CLUBPLANNER_CLUBS.
            Blank for one club alone.
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
    clubs_file: str = ""
    club: str = ""


@dataclass(frozen=True, slots=True)
class Settings:
    """Settings as somebody wrote them.

    Attributes:
        values: By the name of the setting, such as "SMTP_HOST"; what is not there is not set.
        spell: Returns how a setting is called where these stand, for a person.
    """

    values: Mapping[str, str] = field(repr=False)
    spell: Callable[[str], str]

    def get(self, name: str, usual: str = "") -> str:
        """Return what is set, without blanks around it."""
        return self.values.get(name, usual).strip()


def settings_from_environment() -> Settings:
    """Return what is set in the environment."""
    length = len(ENVIRONMENT_PREFIX)
    ours = {k[length:]: v for k, v in os.environ.items() if k.startswith(ENVIRONMENT_PREFIX)}
    return Settings(ours, lambda name: f"{ENVIRONMENT_PREFIX}{name}")


def config_from_environment() -> Config:
    """Read the configuration from the environment, defaults where nothing is set.

    Raises:
        RefusedError: Naming the setting that cannot be read; never its value.
    """
    settings = settings_from_environment()
    return Config(
        database=settings.values.get("DATABASE", DEFAULT_DATABASE),
        public_address=read_public_address(settings),
        proxies=_small_number(settings.values.get("PROXIES", "")),
        mail_server=read_mail_server(settings),
        quiet=read_quiet_hours(settings),
        calendar_host=read_calendar_host(settings),
        metrics_key=read_metrics_key(settings),
        log_level=_one_of(settings, "LOG_LEVEL", LOG_LEVELS, "warning"),
        log_form=_one_of(settings, "LOG_FORM", LOG_FORMS, "lines"),
        clubs_file=settings.get("CLUBS"),
    )


def _small_number(text: str) -> int:
    """Return a number of 0 to 9; 0 for anything else, which is the careful choice."""
    return int(text) if text in "0123456789" and text else 0


def read_public_address(settings: Settings) -> str:
    """Return the address that is set, checked: half an address would be in every mail.

    Raises:
        RefusedError: If it is none.
    """
    text = settings.get("PUBLIC_ADDRESS").rstrip("/")
    if text and _ADDRESS.fullmatch(text) is None:
        raise RefusedError(
            _(
                "Set %(name)s to a whole address without “?” or “#”, such as "
                "https://pitches.example.org or https://town.example.org/pitches.",
                name=settings.spell("PUBLIC_ADDRESS"),
            )
        )
    return text


def read_mail_server(settings: Settings) -> MailServer | None:
    """Return the server that takes our mails; None where none is set.

    Raises:
        RefusedError: Naming the first setting of it that cannot be read.
    """
    host = settings.get("SMTP_HOST")
    if not host:
        return None
    security, port = read_smtp_security(settings), read_smtp_port(settings)
    user, password = settings.get("SMTP_USER"), settings.get("SMTP_PASSWORD")
    return MailServer(host, port, security, user, password, read_mail_from(settings))


def read_smtp_security(settings: Settings) -> str:
    """Return how mails are kept from others on the way to the server.

    Raises:
        RefusedError: If it is none of the ways there are.
    """
    security = settings.get("SMTP_SECURITY", "starttls")
    if security not in SMTP_PORTS:
        name = settings.spell("SMTP_SECURITY")
        raise RefusedError(_("Set %(name)s to starttls, tls or none.", name=name))
    return security


def read_smtp_port(settings: Settings) -> int:
    """Return the mail server's port, the usual one where none is set.

    Raises:
        RefusedError: If it, or the security it goes by, cannot be read.
    """
    port = settings.get("SMTP_PORT") or str(SMTP_PORTS[read_smtp_security(settings)])
    if not port.isdecimal() or not 0 < int(port) < 65_536:
        name = settings.spell("SMTP_PORT")
        raise RefusedError(_("Set %(name)s to a number from 1 to 65535.", name=name))
    return int(port)


def read_mail_from(settings: Settings) -> str:
    """Return the address from which mails are sent; blank where no server is set.

    Raises:
        RefusedError: If mails are to be sent, and it is no address.
    """
    sender = settings.get("MAIL_FROM")
    is_needed = bool(settings.get("SMTP_HOST") or sender)
    if is_needed and not re.fullmatch(r"[^@\s<>]+@[^@\s<>]+", sender):
        raise RefusedError(
            _(
                "Set %(name)s to the club's own mail address, such as "
                "pitches@club.example; mails are sent from it.",
                name=settings.spell("MAIL_FROM"),
            )
        )
    return sender


def read_calendar_host(settings: Settings) -> NearHost | None:
    """Return the computer of the club's own network that calendars may come from; None for none.

    Raises:
        RefusedError: If it is more than the name of one, and a port.
    """
    text = settings.get("CALENDAR_HOST")
    if not text:
        return None
    found = _HOST.fullmatch(text)
    port = int(found[2] or 0) if found else 0
    if found is None or port > 65_535 or (found[2] and not port):
        raise RefusedError(
            _(
                "Set %(name)s to the name of one computer, such as hall.club.lan "
                "or hall.club.lan:8080; without https:// and without a path.",
                name=settings.spell("CALENDAR_HOST"),
            )
        )
    return NearHost(found[1].strip("[]").lower(), port)


def read_metrics_key(settings: Settings) -> str:
    """Return the key that opens the figures; blank where none is set.

    Raises:
        RefusedError: If it can be guessed.
    """
    key = settings.get("METRICS_KEY")
    if key and len(key) < LEAST_KEY:
        raise RefusedError(
            _(
                "Set %(name)s to %(count)s letters or more.",
                name=settings.spell("METRICS_KEY"),
                count=LEAST_KEY,
            )
        )
    return key


def _one_of(settings: Settings, name: str, known: tuple[str, ...], usual: str) -> str:
    text = settings.get(name, usual).lower()
    if text not in known:
        raise RefusedError(
            _(
                "Set %(name)s to one of these: %(known)s.",
                name=settings.spell(name),
                known=", ".join(known),
            )
        )
    return text


def read_quiet_hours(settings: Settings) -> QuietHours:
    """Return when mails wait for the morning.

    Raises:
        RefusedError: If it is not two times of day.
    """
    text = settings.get("QUIET_HOURS")
    if not text:
        return DEFAULT_QUIET
    found = _QUIET.fullmatch(text)
    if found is None:
        raise RefusedError(
            _(
                "Set %(name)s to two times of day, such as 21:30-07:00, or to 00:00-00:00 for "
                "none.",
                name=settings.spell("QUIET_HOURS"),
            )
        )
    first, second, third, fourth = (int(part) for part in found.groups())
    return QuietHours(time(first, second), time(third, fourth))
