"""Values that nobody types, and some that somebody might."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from random import Random

MARK = "<zq"
"""Begins a tag that no page of ours has: found in a page as it was sent, something is not
escaped."""
SIGNS = (
    *(
        "",
        " ",
        "\x00",
        "a\x00b",
        "\ud800",
        "x\udfffy",
        "\ufeff",
        "\ufffe",
        "\x7f",
        "\x85",
        "\u2028",
    ),
    *("\u202eevil", "\u2066\u2069", "\u200d", "e" + "\u0301" * 500, "İ", "ß", "ﬀ", "𝕬", "🏳️‍🌈"),
    *(f"{MARK}>", f'"{MARK} x="1', f"'>{MARK}", f"</script>{MARK}>", "]]>", "<!--", "&amp;lt;"),
    *("'", '"', "' OR 1=1 --", "%", "_", "\\", "%s%n", "%(name)s", "{{7*7}}", "${7*7}", "{0.x}"),
    *(
        "../../../etc/passwd",
        "..\\..\\x",
        "file:///etc/passwd",
        "//evil.example",
        "/\\evil.example",
    ),
    *("https://evil.example", "javascript:alert(1)", "\r\nSet-Cookie: zq=1", "\n", "\t", "a\r\nb"),
    *("true", "null", "[]", "{}", "None", "on", "=1+1", "@x", "+1", "-", ",", ";", ":", "|"),
)
NUMBERS = (
    *("0", "-0", "-1", "1", "2", "3", "4", "99", "1.5", "1,5", "1e9", "1e400", "-1e400", "1_000"),
    *(
        "nan",
        "NaN",
        "inf",
        "-inf",
        "Infinity",
        "0x10",
        "0b1",
        "٣",
        "²",
        "①",
        "½",
        "Ⅷ",
        "１２",
        "1 2",
    ),
    *("9" * 9, "9" * 10, "9" * 30, "9" * 4300, "9" * 5000, "1" + "0" * 400, "0." + "0" * 400 + "1"),
    *(str(2**31 - 1), str(2**31), str(2**63 - 1), str(2**63), str(-(2**63)), str(2**64), "-" * 9),
)
DATES = (
    *("0000-00-00", "0001-01-01", "1582-10-15", "1899-12-31", "1900-02-29", "1970-01-01"),
    *("1999-12-31", "2000-01-01", "2026-10-25", "2027-03-28", "2026-02-30", "2028-02-29"),
    *("2199-12-31", "2200-01-01", "9999-12-31", "10000-01-01", "99999999-01-01", "-0001-01-01"),
    *("2026-W10-1", "20261125", "2026-11-25T18:00", "2026-13-45", "25.11.2026", "٢٠٢٦-١١-٢٥"),
    *("2026-11-16", "2026-11-18", "2026-11-25", "2026-11-26", "2026-12-07", "2026-12-18"),
)
TIMES = (
    *("00:00", "01:00", "01:30", "01:59", "02:00", "02:30", "23:59", "24:00", "24:01", "25:00"),
    *("-1:00", "99:99", "7", "7.30", "١٨:٠٠", "18:00:00", "18:00Z", "18:00", "19:15", "17:00"),
    *("1:00", "18:0", "18:00 ", "18-00"),
)
WINDOWS = (
    *("Mon 18:00-19:00", "Mon-Fri 17:00-20:00", "Sun-Mon 00:00-24:00", "Mon 19:00-18:00"),
    *("Mon 18:00-19:00;" * 3000, "Mon-Mon-Mon", "Xyz 1-2", "Mon 00:00-00:00", "daily 5-6"),
)
PLACES = (
    *("52.9, -1.2", "91, 181", "-90,0", "90,0", "0,180", "nan, nan", "1e400, 1", "52.9 N 1.2 W"),
    *("https://maps.example/#map=999/nan/inf", "N 52° 57' 60\" W 1° 60' 0\"", "geo:52.9,-1.2;u=1"),
    *("POINT(1 2)", '{"type": "Point", "coordinates": [1e400, 0]}', "52,9; -1,2", "9C4W+XX"),
)
ADDRESSES = (
    *("http://127.0.0.1:1/x", "http://[::1]/", "webcal://localhost/x.ics", "http://0/", "http://"),
    *(
        "http://[::ffff:127.0.0.1]/",
        "http://2130706433/",
        "http://user:pw@x/",
        "ftp://x",
        "http://[",
    ),
    *("https://push.example/x", "https://127.0.0.1/push", "a@b.example", "a@b", "@", "a@b@c.de"),
)
FAMILIES = (SIGNS, NUMBERS, DATES, TIMES, WINDOWS, PLACES, ADDRESSES)
UNITS = ("x", "é", "\u202e", "a,", "\n", "(", "1 ", "0", "-", "1-", ", ", " ", "\t", "\\", "[", "€")
"""What long values are made of; many of them lead a careless search pattern astray."""
HEADERS = (
    *(
        ("Host", value)
        for value in ("", "evil.example", "a" * 300, "x..y", "[::1", "é", "127.0.0.1:x")
    ),
    ("Accept-Language", "de;q=nan,en;q=1e400,*;q=-1"),
    ("Accept-Language", "de-" * 5000),
    ("Accept-Language", ",;=,;q=," * 2000),
    ("Accept-Encoding", "gzip;q=inf, br;q=x, *;q=0"),
    ("Accept", "*/" * 3000),
    ("If-None-Match", '"' * 9999),
    ("If-None-Match", 'W/"x", *'),
    ("If-Modified-Since", "Sun, 99 Foo 99999 99:99:99 GMT"),
    ("If-Modified-Since", "Mon, 01 Jan 0001 00:00:00 -9999"),
    ("If-Unmodified-Since", "9" * 400),
    ("Range", "bytes=" + ",".join(f"{n}-" for n in range(2000))),
    ("Range", "bytes=-9999999999999999999999"),
    ("Range", "bytes=5-1"),
    ("Range", "\x00"),
    ("If-Range", '"x'),
    ("User-Agent", "\u00ff" * 20_000),
    ("Referer", "http://[::1"),
    ("Origin", "null"),
    ("X-Forwarded-For", "evil, " * 500),
    ("X-Forwarded-Proto", "javascript"),
    ("X-Forwarded-Host", "evil.example"),
    ("Content-Encoding", "gzip"),
    ("Authorization", "Basic \x00"),
    ("Authorization", "Bearer " + "x" * 9000),
    ("Cookie", "person=" + "x" * 9000),
    ("Cookie", "=;;;=" * 500),
    ("Cookie", 'person="\\000\\777"; form=zq; known=\x00; language=zq; measure=\x00; facing=9'),
    ("Cookie", "form=eyJhIjoxfQ.x.y; known=" + "1.2." * 500),
    ("X-HTTP-Method-Override", "DELETE"),
    ("Expect", "200-maybe"),
    ("Max-Forwards", "-1"),
)
"""Bytes of 128 and above are sent as they stand here, as ISO 8859-1."""


def draw_text(draw: Random) -> str:
    """Draw a value: mostly one of the lists, sometimes a long one, sometimes signs at random."""
    kind = draw.random()
    if kind < 0.75:
        return draw.choice(draw.choice(FAMILIES))
    if kind < 0.85:
        return draw_long(draw)
    if kind < 0.95:
        return "".join(draw.choice(draw.choice(FAMILIES))[:9] for _ in range(draw.randint(2, 6)))
    return "".join(chr(draw.randrange(0x11_0000)) for _ in range(draw.randint(1, 40)))


def draw_long(draw: Random) -> str:
    """Draw a long value; seldom one of a million bytes."""
    if draw.random() < 0.05:
        return draw.choice(UNITS[:4]) * 330_000
    length = draw.choice((300, 300, 1000, 1000, 5000, 10_000, 10_000, 60_000))
    unit = draw.choice(UNITS)
    return unit * (length // len(unit)) + draw.choice(("", "!", "x", "\x00", MARK))


def draw_near(draw: Random, text: str) -> str:
    """Draw a value near a good one: a letter more, less or other, twice, or in other letters."""
    if not text:
        return draw_text(draw)
    place = draw.randrange(len(text))
    kind = draw.randrange(7)
    if kind == 0:
        return text[:place] + text[place + 1 :]
    if kind == 1:
        return text[:place] + draw.choice(SIGNS)[:3] + text[place:]
    if kind == 2:
        return (
            text[:place] + chr(draw.choice((0, 9, 32, 47, 58, 0x661, 0x202E))) + text[place + 1 :]
        )
    if kind == 3:
        return text + text
    if kind == 4:
        return text.swapcase()
    if kind == 5:
        return f" {text}\u200f "
    return text[::-1]
