"""What is written for a builder: numbers with units and intervals, labels, days, odds; nothing that draws."""
