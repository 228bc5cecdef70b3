"""Hypothesis strategies for two sides of one project: some evenings of work on each."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import strategies as st

from model.record import Entry, Mark, Project, Reading

_SMALL = st.sampled_from(["", "amber", "birch", "cedar"])
_KEYS = st.sampled_from(["a", "b", "c", "d", "e"])


@st.composite
def _readings(draw: st.DrawFn) -> dict[str, Reading]:
    keys = draw(st.lists(_KEYS, max_size=3, unique=True))
    fields = st.dictionaries(st.sampled_from(["turns", "time"]), _SMALL)
    return {k: Reading(key=k, kind=draw(_SMALL), texts=draw(fields)) for k in keys}


@st.composite
def _edited(draw: st.DrawFn, start: Project) -> Project:
    """Some evenings of work on a project: entries begun, changed and deleted, marks begun, texts changed."""
    project = start
    for _ in range(draw(st.integers(0, 4))):
        key = draw(_KEYS)
        entry = project.entries.get(key, Entry(key=key))
        match draw(st.sampled_from(["text", "ticks", "readings", "delete", "build", "name", "unknown"])):
            case "text":
                project = project.with_entry(replace(entry, text=draw(_SMALL), changed=draw(_SMALL)))
            case "ticks":
                ticks = draw(st.lists(st.sampled_from(["binds", "turns free", "bounces"]), unique=True))
                project = project.with_entry(replace(entry, ticks=tuple(ticks)))
            case "readings":
                project = project.with_entry(replace(entry, readings=draw(_readings())))
            case "delete":
                project = replace(project, entries={k: v for k, v in project.entries.items() if k != key})
            case "build":
                build = draw(st.dictionaries(st.sampled_from(["bore", "stroke"]), _SMALL))
                number = draw(st.integers(1, 3))
                project = project.with_mark(Mark(number=number, reason=draw(_SMALL), build=build))
            case "name":
                project = replace(project, name=draw(_SMALL), about=draw(_SMALL))
            case _:
                values = st.one_of(st.booleans(), st.integers(0, 1), _SMALL, st.just({"x": 1}), st.just({"x": True}))
                project = replace(project, unknown=draw(st.dictionaries(st.sampled_from(["new", "odd"]), values)))
    return project


@st.composite
def histories(draw: st.DrawFn) -> tuple[Project, Project, Project]:
    """What two sides made of one project."""
    base = draw(_edited(Project(name="Cup")))
    return base, draw(_edited(base)), draw(_edited(base))
