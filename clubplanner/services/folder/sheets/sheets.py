"""The sheets of a club's folder: a table each, of what no other file of a club says."""

from __future__ import annotations

from clubplanner.services.folder.sheets.booked_sheets import BOOKED
from clubplanner.services.folder.sheets.people_sheets import READERS, WHO_IS_WHO
from clubplanner.services.folder.sheets.season_sheets import OF_SEASONS

SHEETS = (*WHO_IS_WHO, *OF_SEASONS, *READERS, *BOOKED)
"""In the order in which they are taken in: what others refer to comes first."""
