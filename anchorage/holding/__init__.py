"""What resists: ground and friction, hardware, stakes, straps; formulas married to tables."""
