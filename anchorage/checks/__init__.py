"""The installation put together, its load cases against what holds, limits, least counts, one thing changed."""
