"""``python -m tests.typing monkey [SEED [KEYS]]``, ``bursts``, ``slowed [PLACE]`` or ``sampled [SEED]``: typing that no
hand does. ``sampled`` tries each pair of keys at each place of ``slowed`` once, with a pause and a speed by chance.

Prints what went wrong, and ends with 1 where something did.
"""

from __future__ import annotations

import random
import sys
import tempfile
from pathlib import Path

from tests.tui.test_bursts import PAIRS, PLACES
from tests.typing import bursts, monkey


def main(arguments: list[str]) -> int:
    """Type, and return the exit code."""
    what, *rest = arguments or ["monkey"]
    if what == "monkey":
        seed = int(rest[0]) if rest else random.randrange(10**6)
        count = int(rest[1]) if len(rest) > 1 else 5000
        print(f"seed {seed}, {count} keys", flush=True)
        with tempfile.TemporaryDirectory() as folder:
            wrong = monkey.run(Path(folder), seed=seed, count=count, longest=0.5)
    elif what == "bursts":
        import tui.screens.project

        tui.screens.project.REST = 0.0
        wrong = list(bursts.all_pairs())
    elif what == "sampled":
        chance = random.Random(int(rest[0]) if rest else 1)
        pairs = [(place, pair) for place in PLACES for pair in PAIRS]
        tries = [(*each, chance.choice(bursts.PAUSES), chance.random() < 0.5) for each in pairs]
        wrong = [told for place, pair, pause, slow in tries for told in bursts.slowed(place, pair, pause, slow=slow)]
    else:
        places = rest or list(PLACES)
        each = [(place, pair, pause) for place in places for pair in PAIRS for pause in bursts.PAUSES]
        wrong = [told for case in each for slow in (False, True) for told in bursts.slowed(*case, slow=slow)]
    print("\n".join(wrong) or "nothing went wrong")
    return int(bool(wrong))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
