"""Cut the fonts of other scripts from the Noto family, for pictures and pages.

    python -m tests.fonts.subset FOLDER

FOLDER holds NotoSans, NotoSansArabic and NotoSansHebrew (.ttf, Regular and Bold) and
NotoSansCJK-Regular.ttc, as Debian's packages fonts-noto-core and fonts-noto-cjk carry them; needs
`pip install -e '.[fonts]'`. No letter that our own font has goes in: the renderer of pictures takes
a whole line from a font that has all of it.

Pictures have no fonts of the machine, so those of other scripts are shipped (SIL OFL 1.1, its text
beside them): Latin with all marks, Greek, Cyrillic, Arabic and Hebrew in two weights (0.64 MB);
Chinese (GB 2312, frequent signs of Big 5), kana, JIS level 1 and Korean (KS X 1001) in one weight
(2.5 MB), for pictures alone: a phone has its own, and a page would wait for it. Pages take the
first four as woff2 (0.23 MB in all, 6 to 45 kB each) by `unicode-range`; one in our first font's
letters fetches none, and pays 0.4 kB of style sheet. The wheel is 4.1 MB.
"""

from __future__ import annotations

import sys
from pathlib import Path

from fontTools import subset
from fontTools.ttLib import TTFont

OWN = Path("web/static/fonts/AtkinsonHyperlegibleNext-Regular.ttf")
OUT = Path("web/static/fonts/scripts")
FEATURES = ["ccmp", "locl", "mark", "mkmk", "kern", "init", "medi", "fina", "isol", "rlig", "calt",
            "liga", "curs"]  # fmt: skip
KEPT_NAMES = [0, 1, 2, 3, 4, 5, 6, 13, 14]
"""Copyright, family, style, version, licence and its address."""

LATIN = [(0x0100, 0x024F), (0x0250, 0x02FF), (0x0300, 0x036F), (0x1E00, 0x1EFF), (0x2C60, 0x2C7F)]
GREEK_CYRILLIC = [(0x0370, 0x052F), (0x1C80, 0x1C88), (0x1F00, 0x1FFF), (0x2DE0, 0x2DFF),
                  (0xA640, 0xA69F)]  # fmt: skip
ARABIC = [(0x0600, 0x06FF), (0x0750, 0x077F), (0x08A0, 0x08FF), (0xFB50, 0xFDFF), (0xFE70, 0xFEFC)]
HEBREW = [(0x0590, 0x05FF), (0xFB1D, 0xFB4F)]
MARKS = {0x0300, 0x0301, 0x0303, 0x0304, 0x0308}
"""Our own font has these, too; letters of the others need them from the same font."""


def main() -> int:
    """Write every file anew."""
    folder = Path(sys.argv[1])
    own = set(TTFont(OWN).getBestCmap())
    for weight in ("Regular", "Bold"):
        sans = folder / f"NotoSans-{weight}.ttf"
        latin, others = _in(LATIN) - own | MARKS, _in(GREEK_CYRILLIC) - own | MARKS
        _cut(sans, f"NotoSans-{weight}.ttf", latin | others)
        _cut(sans, f"NotoSansLatin-{weight}.woff2", latin)
        _cut(sans, f"NotoSansGreekCyrillic-{weight}.woff2", others)
        for script, letters in (("Arabic", ARABIC), ("Hebrew", HEBREW)):
            source = folder / f"NotoSans{script}-{weight}.ttf"
            for suffix in ("ttf", "woff2"):
                _cut(source, f"NotoSans{script}-{weight}.{suffix}", _in(letters) - own)
    wide = folder / "NotoSansCJK-Regular.ttc"
    _cut(wide, "NotoSansCJK-Regular.otf", _chinese() | _korean() | _japanese(), number=2)
    return 0


def _in(ranges: list[tuple[int, int]]) -> set[int]:
    return {code for first, last in ranges for code in range(first, last + 1)}


def _chinese() -> set[int]:
    """Return the signs of GB 2312 and the frequent ones of Big 5, and their punctuation."""
    punctuation = {ord(sign) for sign in "、。〈〉《》「」『』【】〔〕・ー々〇（），：；！？～"}
    return _coded("gb2312", 0xB0, 0xF7) | _coded("big5", 0xA4, 0xC6) | punctuation


def _japanese() -> set[int]:
    """Return the kana, and the signs of level 1 of JIS X 0208."""
    return set(range(0x3041, 0x3097)) | set(range(0x30A1, 0x30FF)) | _coded("shift_jis", 0x88, 0x97)


def _korean() -> set[int]:
    """Return the syllables of KS X 1001."""
    return _coded("euc_kr", 0xB0, 0xC8)


def _coded(encoding: str, first: int, last: int) -> set[int]:
    found = set()
    for lead in range(first, last + 1):
        for trail in range(0x40, 0xFF):
            letter = bytes([lead, trail]).decode(encoding, errors="ignore")
            found |= {ord(letter)} if len(letter) == 1 and ord(letter) > 0x3000 else set()
    return found


def _cut(source: Path, name: str, codes: set[int], number: int = -1) -> None:
    options = subset.Options(
        layout_features=FEATURES if number < 0 else [],  # signs that stand side by side need none
        name_IDs=KEPT_NAMES,
        hinting=False,
        notdef_outline=True,
        flavor="woff2" if name.endswith("woff2") else None,
        font_number=number,
    )
    font = subset.load_font(str(source), options)
    cutter = subset.Subsetter(options)
    cutter.populate(unicodes=sorted(codes))
    cutter.subset(font)
    OUT.mkdir(exist_ok=True)
    subset.save_font(font, str(OUT / name), options)


if __name__ == "__main__":
    sys.exit(main())
