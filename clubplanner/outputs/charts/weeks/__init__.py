"""A week drawn over time: evenings side by side, each pitch a strip of ground."""
