"""Which speeds and brake readings take part where there are many: learning has to end on the hundredth visit too."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from pathlib import Path

from model.knowledge.facts import MOST_A_VISIT, MOST_BALANCES, facts_of
from model.knowledge.latents import chain_of
from model.record import Entry, Project, Reading
from model.store import read_project

MUG = Path(__file__).parents[2] / "projects" / "mug.toml"


def visited(visits: int, each: int) -> Project:
    """The mug with so many more visits of so many speeds, of which every fifth is of the first mark."""
    project = read_project(MUG).project
    entries = dict(project.entries)
    for number in range(visits):
        readings = {
            f"r{n}": Reading(key=f"r{n}", kind="speed", texts={"tachometer": f"{90 + n} rpm", "hot_metal": "74 C"})
            for n in range(each)
        }
        mark = 1 if number % 5 == 0 else 2
        entries[f"z{number}"] = Entry(key=f"z{number}", day="2026-11-20", mark=mark, readings=readings)
    return replace(project, entries=entries)


def test_of_very_many_readings_the_latest_visits_take_part_with_their_slowest_and_fastest() -> None:
    project = visited(80, 10)
    facts = facts_of(project, chain_of(project, 2))
    of_visit = Counter(fact.entry for fact in facts.balances)
    assert len(facts.balances) <= MOST_BALANCES
    assert max(of_visit.values()) <= MOST_A_VISIT
    assert {"z79", "z75"} <= set(of_visit), "the last visit of each mark"
    speeds = {fact.reading for fact in facts.balances if fact.entry == "z79"}
    assert {"r0", "r9"} <= speeds
    assert any("take part" in said for said in facts.left_out)


def test_a_visit_that_is_let_out_brings_in_no_other() -> None:
    project = visited(80, 10)
    chain = chain_of(project, 2)
    whole, rest = facts_of(project, chain), facts_of(project, chain, without=frozenset({"z79"}))
    assert {fact.place for fact in rest.balances} == {fact.place for fact in whole.balances if fact.entry != "z79"}
    assert rest.left_out == whole.left_out


def test_of_as_many_as_can_take_part_all_do() -> None:
    project = read_project(MUG).project
    own = len(facts_of(project, chain_of(project, 2)).balances)
    more = visited(1, MOST_BALANCES - own)
    facts = facts_of(more, chain_of(more, 2))
    assert len(facts.balances) == MOST_BALANCES
    assert not any("take part" in said for said in facts.left_out)
