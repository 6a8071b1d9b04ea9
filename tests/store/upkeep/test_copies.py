"""The copy that is kept before a database is upgraded."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from clubplanner.errors import StoreError
from clubplanner.store.upkeep.migrate import migrate
from tests.store.earlier import put_earlier, rows_of

if TYPE_CHECKING:
    from pathlib import Path

    from clubplanner.store.engine import Store

pytestmark = pytest.mark.files


def test_a_copy_is_kept_before_an_upgrade(earlier: Store, earlier_path: Path) -> None:
    """The database as it was lies beside it, as private as it was, and no copy is written over."""
    put_earlier(earlier_path)
    earlier_path.chmod(0o640)
    before = rows_of(earlier_path)
    taken = earlier_path.with_name("club.before-0002.sqlite")
    taken.write_bytes(b"from another time")
    copy = migrate(earlier)
    assert copy == earlier_path.with_name("club.before-0002-2.sqlite")
    assert rows_of(copy) == before
    assert copy.stat().st_mode & 0o777 == 0o640
    assert taken.read_bytes() == b"from another time"
    assert migrate(earlier) is None


def test_without_a_copy_nothing_is_upgraded(
    earlier: Store, earlier_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A full disk leaves the database as it was."""
    put_earlier(earlier_path)

    def refuse(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("clubplanner.store.upkeep.copies.shutil.copymode", refuse)
    before = rows_of(earlier_path)
    with pytest.raises(StoreError, match=r"No copy .* No space left on device.* nothing was chang"):
        migrate(earlier)
    assert rows_of(earlier_path) == before
    earlier.close()
    assert sorted(path.name for path in earlier_path.parent.iterdir()) == ["club.sqlite"]
