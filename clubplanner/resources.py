"""Where the files live that are not Python: templates, static files, published tables, the demo.

In an installed wheel they lie inside the package; in a checkout beside it.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent


@cache
def resource_folder(name: str) -> Path:
    """Return the folder "web" or "seed_data".

    Raises:
        SystemExit: If the installation is not whole: nothing can be served from it.
    """
    inside = _PACKAGE / name
    if inside.is_dir():
        return inside
    beside = _PACKAGE.parent / name
    if beside.is_dir() and (_PACKAGE.parent / "pyproject.toml").is_file():
        return beside
    raise SystemExit(f"The folder “{name}” is missing from the installation; install it again.")


def font_files() -> tuple[str, ...]:
    """Return the paths of the fonts that pictures are drawn with, those of other scripts last."""
    folder = resource_folder("web") / "static" / "fonts"
    scripts = sorted((folder / "scripts").glob("*.[ot]tf"))
    return tuple(str(path) for path in (*sorted(folder.glob("*.ttf")), *scripts))


def published_table(name: str) -> str:
    """Return the text of a published table, such as "formats.csv"."""
    path = resource_folder("seed_data") / "published" / name
    return path.read_text(encoding="utf-8")


def invented_club_files() -> tuple[Path, ...]:
    """Return the files of the invented club, as a club would write them."""
    folder = resource_folder("seed_data") / "invented_club"
    return tuple(sorted(path for path in folder.iterdir() if path.suffix in FILE_KINDS))


FILE_KINDS = (".toml", ".geojson", ".json", ".csv")
"""Suffixes of the files a club may load."""
