"""A report's sums laid out in tables: columns, lines, totals, and each figure's definition."""
