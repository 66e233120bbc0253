"""Chance: samples of what is uncertain, and what may be read from them; knows no vehicles."""
