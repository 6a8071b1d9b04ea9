"""Reports for the committee: as a page, a workbook and on paper."""
