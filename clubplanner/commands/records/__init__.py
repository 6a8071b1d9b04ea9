"""The records as a whole: backups, other databases, folders of files."""
