"""From almost nothing: a few answers become a build that can be assessed."""
