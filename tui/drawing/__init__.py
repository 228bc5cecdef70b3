"""What everything on a screen is drawn with: lines, a plot, the last look at what is sent, screens and key lines."""
