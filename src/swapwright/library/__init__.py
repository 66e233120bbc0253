"""What ships as data, and the loaders of it."""
