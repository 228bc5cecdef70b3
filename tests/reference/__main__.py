"""Hold the model and the rules of thumb against every small engine that was found: ``python -m tests.reference``.

``--write`` puts the tables into RESULTS.md, above the notes that stand there.
"""

from __future__ import annotations

import sys
from pathlib import Path

from tests.reference.engines import engines, not_judged
from tests.reference.exponents import exponents, read_wrong
from tests.reference.judged import SAMPLES, judge
from tests.reference.refit import refits
from tests.reference.tables import (
    constant_table,
    design_table,
    exponent_table,
    left_table,
    loss_table,
    point_table,
    rank_table,
    refit_tables,
    run_tables,
    score_table,
    verdicts,
)

RESULTS = Path(__file__).with_name("RESULTS.md")
NOTES = "## Notes"
"""Heading below which RESULTS.md is written by hand."""
HEAD = """\
# The model against measured engines

Made by `python -m tests.reference --write`; the notes at the end are kept. Engines and sources:
`tests/reference/engines.toml`. Nothing was tuned to one engine; the middle of the heat exchange in the spaces, the drag
and the thickness of flat ends were chosen after looking at some of these.

- *rms factor*: exp(rms ln(predicted/measured)); nil, less than nil and anything farther off count as ten times off.
- *by design*: the specimens and heaters of one build count once.
- *inside*: the measured value lies inside the predicted 90 % interval.
- *fitted without the design*: the constant comes from the other designs alone. The other constants of the rules were
  chosen with these engines in sight, but for the textbook's.
- *rank*: share of the samples below the measured value; an honest interval spreads them evenly."""


def page() -> list[str]:
    """Return the lines of the page, without the notes."""
    full, typed = judge(), judge(typed=True)
    left, left_typed = not_judged(), not_judged(typed=True)
    values = len(full) + len(left)
    predicted = len({row.engine for row in full})
    return [
        *HEAD.splitlines(),
        "",
        f"{values} measured values of {len(engines())} engines; predicted are {len(full)} of {predicted} "
        f"({SAMPLES} samples).",
        "",
        "## Given what the source states, at the measured speed",
        "",
        "Metals as measured or as a hand-picked range, and the measured speed: the table by design says which.",
        "",
        *verdicts(full),
        "",
        *score_table(full),
        "",
        "### Runs or does not",
        "",
        *run_tables(full),
        "",
        "### Ranks of the measured values among the samples",
        "",
        *rank_table(full),
        "",
        "### By design",
        "",
        *design_table(full),
        "",
        "### What the mechanism takes",
        "",
        "Work of the air less work at the shaft, of a turn, as mean pressures on the piston's swept volume, [kPa].",
        "Where the air's work was not measured it is the model's, and the loss holds the model's error too. The",
        "model's is its guessed friction and drag, and what crank and piston keep of the air's and of forced work.",
        "",
        *loss_table(full),
        "",
        "### Exponent of gas power over the difference of the metals",
        "",
        "Each engine ran free, so that its speed rises with the difference; the model is given the measured speed.",
        "The measured powers of an engine share one angle of its light gate, which is not known. *Less*: the hot metal",
        "cooler than was read by the tolerance of one thermocouple.",
        "",
        *exponent_table(exponents(full, read_wrong(full))),
        "",
        "### Constants of the rules of shaft power",
        "",
        *constant_table(full, "shaft_power"),
        "",
        "### Chosen without the design",
        "",
        "What was chosen after looking at these engines, chosen anew without the design that it is tried on: heat",
        "exchange and metal beside the clearance by the powers of the other designs, friction by what rubbed in them.",
        "Engines whose main sizes are guessed have no say. The drums alone tell of soft parts and lasting eddies.",
        "",
        *refit_tables(refits(full)),
        "",
        "## Given what a builder types",
        "",
        "Sizes, and the words for heat source and cooling: no temperature, no speed, no hand-picked range (but for a",
        "main size that the source does not state). The rest is the program's own guesses.",
        "",
        *verdicts(typed),
        "",
        *score_table(typed),
        "",
        *run_tables(typed),
        "",
        *rank_table(typed),
        "",
        *design_table(typed),
        "",
        "## No prediction",
        "",
        *left_table(left),
        "",
        "Besides, given what a builder types:",
        "",
        *left_table([x for x in left_typed if x not in left]),
        "",
        "## By point",
        "",
        *point_table(full),
        "",
        "Given what a builder types:",
        "",
        *point_table(typed),
    ]


def main(arguments: list[str]) -> None:
    """Print the page, or write it."""
    if arguments not in ([], ["--write"]):
        raise SystemExit("python -m tests.reference takes --write or nothing")
    text = "\n".join(page())
    if arguments:
        notes = RESULTS.read_text(encoding="utf-8").partition(f"\n{NOTES}\n")[2]
        RESULTS.write_text(f"{text}\n\n{NOTES}\n{notes}", encoding="utf-8")
    else:
        print(text)


if __name__ == "__main__":
    main(sys.argv[1:])
