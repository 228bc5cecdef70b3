"""``quarterturn predict FILE``: what an engine will do, and how sure that is."""

from __future__ import annotations

import argparse

from model.checks.cautions import DEFER, cautions_for
from model.checks.problems import problems_of_mark
from model.errors import Problem
from model.fields import Build, fields_of
from model.prediction.result import Prediction, Verdict
from model.quantities.phrases import percent_text
from tui.commands.asjson import prediction_json
from tui.commands.common import (
    build_of,
    file_argument,
    json_argument,
    mark_of,
    open_file,
    problem_json,
    show,
    show_json,
)
from tui.commands.progress import doing
from tui.commands.shown import known_json, shown_json, shown_lines
from tui.text.figures import figure_text, is_assumed, need_text, stated_speed
from tui.text.sanitise import sanitise
from tui.text.verdicts import as_drawn, first_test_text, sentence, verdict_text


def arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    file_argument(parser)
    parser.add_argument("--mark", metavar="N", type=int, help="the mark to predict; without it the latest")
    json_argument(parser, "one object with every figure, its interval, unit and why")


def run(options: argparse.Namespace) -> int:
    """Predict and print."""
    stored = open_file(options.file)
    mark = mark_of(stored.project, options.mark, options.file)
    parsed = build_of(mark)
    with doing(f"Predicting Mk {mark.number}"):
        from model.explain.outlook import whole_outlook

        prediction = whole_outlook(stored.project, mark=mark.number)
    with doing(f"Weighing what Mk {mark.number} has shown"):
        from model.knowledge.learn import learn

        known = learn(stored.project, mark.number)
    number = mark.number
    problems = (*stored.problems, *(problems_of_mark(stored.project, number) if number in stored.project.marks else ()))
    if options.json:
        cautions = [{"id": c.id, "title": c.title, "text": c.text} for c in cautions_for(parsed.build)]
        show_json(
            {
                "project": sanitise(stored.project.name),
                "mark": mark.number,
                "layout": parsed.build.layout,
                **prediction_json(prediction),
                "shown": shown_json(known),
                **known_json(known),
                "flagged": [problem_json(problem) for problem in problems],
                "cautions": cautions,
            }
        )
    else:
        show(
            "\n".join(
                [
                    f"{sanitise(stored.project.name)}, Mk {mark.number}",
                    *prediction_lines(prediction, problems),
                    *shown_lines(known),
                ]
            )
        )
        show(f"Cautions: {'; '.join(c.title for c in cautions_for(parsed.build))}. {DEFER}")
    return 0


def prediction_lines(prediction: Prediction, problems: tuple[Problem, ...] = ()) -> list[str]:
    """Return a prediction as lines of text."""
    lines = [verdict_line(prediction)]
    if prediction.verdict in (Verdict.DOES_NOT_RUN, Verdict.DOUBTFUL):
        lines += [
            f"  needs {need.label.lower()}: {need_text(need, assumed=is_assumed(need, prediction.assumed))}"
            for need in prediction.needs
            if not need.met
        ]
    main = ("shaft_power", "speed_at_best_power", "free_running_speed")
    stands = prediction.verdict is Verdict.DOES_NOT_RUN
    test = "" if stands else sentence(first_test_text(prediction, measured=not as_drawn(prediction)))
    lines += [f"  {test}"] if test else []
    figures = [prediction.figures[key] for key in main if key in prediction.figures and not stands]
    rest = [figure for key, figure in prediction.figures.items() if key not in main]
    lines += _table([(f.label, figure_text(f)) for f in figures if f.value is not None or f.high is not None])
    if prediction.at_speed is not None:
        lines.append(f"{stated_speed(prediction)}:")
    lines += _table([(f.label, figure_text(f)) for f in rest])
    read = {name: text for name, text in prediction.assumed.items() if "from readings" in text}
    if read:
        lines.append("From readings of this mark:")
        lines += _table([(_label(name), text) for name, text in read.items()])
    if len(prediction.assumed) > len(read):
        lines.append("Assumed, because the field is empty or flagged:")
        lines += _table([(_label(name), text) for name, text in prediction.assumed.items() if name not in read])
    if prediction.widest:
        parts = ", ".join(f"{label} ({percent_text(share)})" for label, share in prediction.widest)
        lines.append(f"Widest part of the interval: {parts}")
    lines += [f"Warning: {text}" for text in prediction.warnings]
    lines += [f"Flagged: {problem}" for problem in problems]
    return lines


def verdict_line(prediction: Prediction) -> str:
    """Return the verdict in one line: ``Runs as drawn, 90 in 100.``, or why there is none."""
    if prediction.verdict is Verdict.NO_PREDICTION:
        return f"No prediction. {prediction.reason}"
    return f"{verdict_text(prediction)}."


def _label(name: str) -> str:
    field = fields_of(Build).get(name)
    return name if field is None else field.full_label


def _table(rows: list[tuple[str, str]]) -> list[str]:
    width = max((len(label) for label, _ in rows), default=0)
    return [f"  {label:<{width}}  {text}" for label, text in rows]
