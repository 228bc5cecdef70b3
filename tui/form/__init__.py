"""The form: one widget that draws the rows of any declared dataclass, and one input shared by them.

`content` says what stands in the rows (pure); `form` draws them and takes the keys; `advice` is the help below.
"""
