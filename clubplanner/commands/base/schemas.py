"""The JSON Schemas of what commands print with --json: a file each, named by the command's words.

They are files so that a change of what a program reads is seen for what it is; tests hold every
command's JSON to its schema.
"""

from __future__ import annotations

from pathlib import Path

FOLDER = Path(__file__).parents[1] / "schemas"


def schema_names() -> list[str]:
    """Return the words of each command that prints JSON, in order."""
    return sorted(path.stem.replace("_", " ") for path in FOLDER.glob("*.json"))


def read_schema(name: str) -> str:
    """Return the schema of a command's JSON as text.

    Args:
        name: The command's words, such as "squads list".
    """
    return (FOLDER / f"{name.replace(' ', '_')}.json").read_text(encoding="utf-8")
