"""What resists: friction on the ground, stakes, straps and other hardware; formulas married to tables."""
