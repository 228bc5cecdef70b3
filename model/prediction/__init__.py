"""From model inputs to a prediction: figures with intervals, each with its why."""
