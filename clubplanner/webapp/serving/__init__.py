"""How answers are sent and told: compressed, kept, limited, in the reader's language."""
