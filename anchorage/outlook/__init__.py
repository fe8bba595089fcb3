"""Forecasts: a reader for each format; what it gave becomes hours, levels, verdicts and the times by which to act.

Nothing here reads the clock: every function takes the time it is asked at.
"""
