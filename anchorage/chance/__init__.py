"""How sure: what is uncertain, drawn many times through the same checks."""
