"""The engine model and the notebook's records. Imports nothing of the screen; ``import model`` loads no numpy."""
