"""Numbers as builders write them: units, values with their spread, and the formulas that use them."""
