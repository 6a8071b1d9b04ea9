"""What has happened: changes, happenings since a mark, reports, and programs that are told."""
