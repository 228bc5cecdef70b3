"""Solve many random builds, one build at one speed each: ``python -m tests.predict.solves 20000 [seed] [kind ...]``.

Kinds as in `tests.predict.fuzz`, anywhere within the fields' limits. A solve is heat balance, turn and shaft of one
build at one speed, drawn between 6 and 3000 rpm. Each must end converged or with a named reason, with finite numbers,
numpy's warnings being errors, and within 100 ms of the processor. Exits with 1 if one does not.
"""

from __future__ import annotations

import dataclasses
import math
import random
import sys
import time
import traceback
import warnings
from collections import Counter

import numpy as np

from model.fields import parse_build
from model.inputs.complete import complete_inputs
from model.running.operate import Operation, operate
from model.running.samples import central
from tests.predict.fuzz import KINDS

RPM = 2 * math.pi / 60
SLOWEST, FASTEST = 6 * RPM, 3000 * RPM
LIMIT = 0.1
"""Seconds of the processor that a solve may take."""
GOOD = ("converged", "reasoned", "refused")


@dataclasses.dataclass(frozen=True, slots=True, kw_only=True)
class Solved:
    """How one solve ended."""

    texts: dict[str, str]
    speed: float
    word: str
    """``converged``, ``reasoned``, ``refused``, or what is wrong."""
    seconds: float = 0.0


def build_of(seed: str, kind: str) -> tuple[dict[str, str], float]:
    """Draw texts and a speed, [rad/s]."""
    rng = random.Random(seed)
    texts = KINDS[kind](rng)
    return texts, math.exp(rng.uniform(math.log(SLOWEST), math.log(FASTEST)))


def finite(operation: Operation) -> bool:
    """Whether every array of an operation, its turn and its network holds numbers alone."""
    for part in (operation, operation.state, operation.network):
        for field in dataclasses.fields(part):
            value = getattr(part, field.name)
            if isinstance(value, np.ndarray) and not np.isfinite(value).all():
                return False
    return True


def solved(texts: dict[str, str], speed: float) -> Solved:
    """Solve one build at one speed, numpy's warnings being errors."""
    model_inputs = complete_inputs(parse_build(texts).build)
    if model_inputs.missing or model_inputs.problems or not model_inputs.values:
        return Solved(texts=texts, speed=speed, word="refused")
    begun = time.process_time()
    try:
        with warnings.catch_warnings(), np.errstate(divide="warn", over="warn", invalid="warn"):
            warnings.simplefilter("error")
            found = operate(central(model_inputs.words, model_inputs.values), np.array([[speed]]))
    except Exception as error:
        where = traceback.extract_tb(error.__traceback__)[-1]
        word = f"{type(error).__name__} in {where.filename.rsplit('/', 1)[-1]}:{where.lineno}: {error}"
        return Solved(texts=texts, speed=speed, word=word[:160], seconds=time.process_time() - begun)
    seconds = time.process_time() - begun
    word = "converged" if found.converged.all() else "reasoned" if found.state.reason else "no reason"
    return Solved(texts=texts, speed=speed, word=word if finite(found) else "not finite", seconds=seconds)


def main() -> int:
    """Print how they ended, every build that ended otherwise than well, and the slowest; return the exit code."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 2000
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    kinds = sys.argv[3:] or list(KINDS)
    solved(*build_of("warm", "usual"))
    words: Counter[str] = Counter()
    times: list[float] = []
    slowest = Solved(texts={}, speed=0.0, word="")
    for number in range(count):
        found = solved(*build_of(f"{seed}-{number}", kinds[number % len(kinds)]))
        words[found.word] += 1
        if found.word not in ("converged", "refused") or found.seconds > LIMIT:
            print(f"{found.word}, {1e3 * found.seconds:.0f} ms, {found.speed:.3g} rad/s: {found.texts}", flush=True)
        if found.word != "refused":
            times.append(found.seconds)
            slowest = max(slowest, found, key=lambda item: item.seconds)
    for word, how_often in words.most_common():
        print(f"{how_often:7d}  {word}")
    at = 1e3 * np.percentile(times, [50, 99, 100])
    over = sum(seconds > LIMIT for seconds in times)
    print(f"of the processor: {at[0]:.1f} ms middle, {at[1]:.1f} 99 %, {at[2]:.1f} most; over 100 ms: {over}")
    print(f"slowest: {slowest.speed:.4g} rad/s, {slowest.texts}")
    return 0 if not over and all(word in GOOD for word in words) else 1


if __name__ == "__main__":
    sys.exit(main())
