"""The folder of projects: format, codec, files, lock, recovery, merge. The only code that touches a builder's files.

Everything that others may use stands here.
"""

from model.store.bin import in_bin, restore, to_bin
from model.store.conflicts import conflict_copies, copy_of
from model.store.copying import Copied, Outcome, copy_notebook
from model.store.differences import differences
from model.store.draft import Draft, Drafts, files_to_bring_back, left_drafts, remove_draft
from model.store.driver import merge_files
from model.store.exporting import StandsAlready, export, refuse_those_that_stand
from model.store.files import Stored, disk_revision, read_project, save_project
from model.store.folder import (
    Item,
    Notebook,
    default_folder,
    demo_copy,
    demo_folder,
    list_notebook,
    make_folder,
    new_path,
    open_notebook,
)
from model.store.format import Decoded, decode, encode, revision_of
from model.store.keep_both import keep_both
from model.store.lines import key_lines, line_of
from model.store.merge import Clash, Merged, common, merge, take_theirs

__all__ = [
    "Clash",
    "Copied",
    "Decoded",
    "Draft",
    "Drafts",
    "Item",
    "Merged",
    "Notebook",
    "Outcome",
    "StandsAlready",
    "Stored",
    "common",
    "conflict_copies",
    "copy_notebook",
    "copy_of",
    "decode",
    "default_folder",
    "demo_copy",
    "demo_folder",
    "differences",
    "disk_revision",
    "encode",
    "export",
    "files_to_bring_back",
    "in_bin",
    "keep_both",
    "key_lines",
    "left_drafts",
    "line_of",
    "list_notebook",
    "make_folder",
    "merge",
    "merge_files",
    "new_path",
    "open_notebook",
    "read_project",
    "refuse_those_that_stand",
    "remove_draft",
    "restore",
    "revision_of",
    "save_project",
    "take_theirs",
    "to_bin",
]
