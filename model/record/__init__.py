"""What is kept: projects, marks, diary entries, readings. Frozen data, the builder's own texts; no files, no parsing.

Every value that a builder typed is kept as the text that was typed, right or wrong; ``model.fields`` reads it.
"""

from model.record.project import LONGEST_NUMBER, Entry, Mark, Project, Reading, new_key

__all__ = ["LONGEST_NUMBER", "Entry", "Mark", "Project", "Reading", "new_key"]
