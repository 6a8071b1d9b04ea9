"""What the tests with foreign readers and servers share."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

import pytest

from tests.readers import readers

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from pathlib import Path

    from tests.readers.readers import Reading

READERS = ("ical.js", "node-ical", "libical", "vobject", "recurring_ical_events")


@pytest.fixture(scope="session")
def node_packages(request: pytest.FixtureRequest) -> Path:
    """Give the folder with the readers that run under Node, installed once and kept."""
    cache = request.config.cache
    if cache is None:
        readers.skip("pytest's cache is off: the Node readers have no place")
    return readers.install_node_readers(cache.mkdir("calendar-readers"))


@pytest.fixture(scope="session", params=READERS)
def read(request: pytest.FixtureRequest) -> Callable[[Mapping[str, bytes]], Reading]:
    """Give each reader in turn: calendars in, what it saw in each out."""
    if request.param == "libical":
        return readers.read_with_libical
    if request.param == "vobject":
        return readers.read_with_vobject
    if request.param == "recurring_ical_events":
        return readers.read_with_recurring
    packages = request.getfixturevalue("node_packages")
    by_node = {"ical.js": readers.read_with_ical_js, "node-ical": readers.read_with_node_ical}
    return partial(by_node[request.param], packages=packages)
