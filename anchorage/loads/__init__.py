"""What pushes: wind, terrain, pressure coefficients of two codes, snow; formulas married to tables."""
