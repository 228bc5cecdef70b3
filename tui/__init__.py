"""The screens and the commands: everything that faces the builder. May import ``model``; nothing imports it."""
