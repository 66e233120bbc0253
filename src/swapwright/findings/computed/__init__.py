"""Rules that need a solved circuit; run where a study was made, kept for where none is."""
