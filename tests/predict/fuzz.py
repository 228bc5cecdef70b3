"""Predict many random builds and count how they end: ``python -m tests.predict.fuzz 20000 [seed] [kind ...]``.

Kinds: ``usual``, ``stretched`` (some numbers anywhere within their limits), ``extreme`` (all of them).
"""

from __future__ import annotations

import math
import random
import sys
import time
import traceback
import warnings
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass

from model.fields import parse_build
from model.inputs.complete import ModelInputs, complete_inputs
from model.prediction.predict import predict
from model.prediction.result import Prediction, Verdict
from tests.predict.drawing import extreme, stretched, usual

KINDS: dict[str, Callable[[random.Random], dict[str, str]]] = {
    "usual": usual,
    "stretched": stretched,
    "extreme": extreme,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """How one build ended."""

    texts: dict[str, str]
    word: str
    """``settled``, ``reasoned``, ``refused``, or what is wrong."""
    seconds: float
    """Time on the processor; other work on the machine does not count."""
    prediction: Prediction | None


def numbers(prediction: Prediction) -> list[float]:
    """Every number of a prediction."""
    found = [x for f in prediction.figures.values() for x in (f.value, f.low, f.high) if x is not None]
    found += [x for n in prediction.needs for x in (n.wants, n.has) if x is not None]
    found += [x for p in prediction.curve for x in (p.speed, p.indicated, p.shaft)]
    found += [x for x in (prediction.at_speed, prediction.run_probability) if x is not None]
    return found


def word_of(model_inputs: ModelInputs, prediction: Prediction) -> str:
    """Say in a word how a prediction ended; anything but settled, reasoned or refused is a fault."""
    if prediction.verdict is Verdict.NO_PREDICTION:
        return "refused" if prediction.reason else "refused without a reason"
    if not all(math.isfinite(x) for x in numbers(prediction)):
        return "no number"
    unsettled = any("settle" in text for text in prediction.warnings)
    return "reasoned" if unsettled else "settled"


def outcome(texts: dict[str, str]) -> Outcome:
    """Predict the best value of one build, numpy's warnings being errors."""
    model_inputs = complete_inputs(parse_build(texts).build)
    begun = time.process_time()
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error")
            prediction = predict(model_inputs, samples=0)
    except Exception as error:
        where = traceback.extract_tb(error.__traceback__)[-1]
        word = f"{type(error).__name__} in {where.filename.rsplit('/', 1)[-1]}:{where.lineno}: {error}"
        return Outcome(texts=texts, word=word[:160], seconds=time.process_time() - begun, prediction=None)
    seconds = time.process_time() - begun
    return Outcome(texts=texts, word=word_of(model_inputs, prediction), seconds=seconds, prediction=prediction)


def main() -> None:
    """Print counts, the slowest, and one build of every fault."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    kinds = sys.argv[3:] or list(KINDS)
    words: Counter[str] = Counter()
    examples: dict[str, dict[str, str]] = {}
    times: list[tuple[float, dict[str, str]]] = []
    for number in range(count):
        rng = random.Random(f"{seed}-{number}")
        found = outcome(KINDS[kinds[number % len(kinds)]](rng))
        words[found.word] += 1
        examples.setdefault(found.word, found.texts)
        if found.word != "refused":
            times.append((found.seconds, found.texts))
    times.sort(key=lambda item: -item[0])
    for word, how_often in words.most_common():
        print(f"{how_often:7d}  {word}")
        if word not in ("settled", "refused"):
            print(f"         e.g. {examples[word]}")
    if times:
        seconds = [item[0] for item in times]
        over = sum(t > 0.1 for t in seconds)
        print(
            f"median {1e3 * seconds[len(seconds) // 2]:.0f} ms, slowest {1e3 * seconds[0]:.0f} ms, over 100 ms: {over}"
        )
        print(f"slowest: {times[0][1]}")


if __name__ == "__main__":
    main()
