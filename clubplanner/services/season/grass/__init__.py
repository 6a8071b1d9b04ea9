"""Use of grass week by week, against what the club lets it bear."""
