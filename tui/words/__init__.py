"""What is written for a builder: numbers with units and intervals, names, days, odds; nothing that draws."""
