"""From inputs to running points: exchange, heat balance, shaft. Arrays of (samples, speeds); no files, no tables."""
