"""From what is open to lines of text: pure, no textual."""
