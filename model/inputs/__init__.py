"""From what was written to a complete set of inputs: guessed ranges, materials, factors of the model."""
