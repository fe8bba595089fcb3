"""Forecasts: one reader a format, then hours, levels, verdicts and the latest times to act.

Nothing here reads the clock: every function takes the time it is asked at.
"""
