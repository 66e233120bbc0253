"""The rule book: what is wrong, what is open, and what would settle it."""
