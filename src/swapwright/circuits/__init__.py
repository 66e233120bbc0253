"""Joins of one service seen as a network, and what flows in it."""
