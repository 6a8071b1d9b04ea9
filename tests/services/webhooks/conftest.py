"""Another program of our own, on this machine, that takes messages."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.push_service import Service, push_service

if TYPE_CHECKING:
    from collections.abc import Iterator


@pytest.fixture(scope="session")
def running_service(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Service]:
    """Give a running server; see `service`."""
    with push_service(tmp_path_factory.mktemp("webhook")) as running:
        yield running


@pytest.fixture
def service(running_service: Service) -> Service:
    """Give a server that has taken nothing yet and takes everything."""
    running_service.taken.clear()
    running_service.status, running_service.retry_after = 204, ""
    return running_service
