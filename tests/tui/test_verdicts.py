"""What stands on the first screen before anything is measured: as drawn, and which one test would tell most."""

from __future__ import annotations

from dataclasses import replace

from model.prediction.result import FirstTest, Prediction, Verdict
from model.quantities.units import Kind
from tui.text.verdicts import faults_text, first_test_text, verdict_text

GRAMS = FirstTest(
    key="rim_weight", label="grams on the rim", minutes=4, at=0.0006, kind=Kind.MASS, unit="g", below=0.97, above=0.41,
    alike=False, power_below=0.004, power_above=0.001,
)  # fmt: skip
DRAWN = Prediction(verdict=Verdict.RUNS, run_probability=0.94, untested=("rim_weight", "leak_down"), first_test=GRAMS)


def test_nothing_is_promised_that_was_not_tested() -> None:
    assert verdict_text(DRAWN) == "Runs as drawn, 94 in 100"
    tested = Prediction(verdict=Verdict.RUNS, run_probability=0.94)
    assert verdict_text(tested) == "Runs, 94 in 100"


def test_the_one_test_is_told_with_its_time_and_what_each_outcome_would_mean() -> None:
    text = first_test_text(DRAWN, measured=False)
    assert text == ("nothing tested yet; grams on the rim (4 min) tells most: up to 0.6 g: 97 in 100, more: 41 in 100")
    assert first_test_text(DRAWN, measured=True).startswith("grams on the rim (4 min)")


def test_where_it_runs_whatever_the_test_shows_the_power_is_told() -> None:
    made = replace(DRAWN, first_test=replace(GRAMS, alike=True))
    assert "up to 0.6 g: 4 mW, more: 1 mW" in first_test_text(made, measured=True)


def test_a_share_for_faults_that_no_drawing_shows_is_told_with_what_it_changes() -> None:
    # 94 in 100 times 0.9 and times 0.6: exact products
    text = faults_text(DRAWN)
    assert "85 in 100" in text
    assert "56 in 100" in text
    assert faults_text(Prediction(verdict=Verdict.RUNS, run_probability=0.94)) == ""
