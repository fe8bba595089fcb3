"""Drawings and pages: text, PDF, HTML, CSV, GeoJSON, calendar, card."""
