"""Drawings, and pages of every kind that is written, from text to calendar."""
