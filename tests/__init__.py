"""Tests."""

from tests.counting import begin

begin()
