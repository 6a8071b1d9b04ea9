"""What every reader needs: faults with their places, tables, TOML and JSON within bounds."""
