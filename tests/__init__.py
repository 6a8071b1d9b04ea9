"""Tests."""

import os
import sys

from tests.counting import begin

# What one process compiled is kept for the next one, whatever the environment says: the tests
# begin hundreds of them, and compiling takes longer than most do.
sys.dont_write_bytecode = False
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)

begin()
