"""The mutations that the run tries: one change of one file each, and the test files that should notice it."""

from __future__ import annotations

from typing import NamedTuple


class Mutation(NamedTuple):
    """A change of the program that is wrong, by text."""

    file: str
    old: str
    new: str
    tests: tuple[str, ...]


INPUTS = ("tests/inputs/test_heat_sources.py",)
HANDBOOK = ("tests/running/test_handbook.py",)
LAWS = ("tests/running/test_running_laws.py", "tests/running/test_least_speed.py", "tests/running/test_draws.py")
CYCLE = ("tests/cycle",)
BALANCE, EXCHANGE, SHAFT = "model/running/balance.py", "model/running/exchange.py", "model/running/shaft.py"
OPERATE, COMPLETE = "model/running/operate.py", "model/inputs/complete.py"
FRICTION = "model/inputs/friction.py"
SOURCES = "model/inputs/heat_sources.py"

MUTATIONS = (
    Mutation(BALANCE, "girth = np.pi * (", "girth = np.pi / 2 * (", HANDBOOK),
    Mutation(BALANCE, "area = 4 * area", "area = 2 * area", HANDBOOK),
    Mutation(BALANCE, "        area = area + geometry.area_hot[:, None]\n", "        pass\n", HANDBOOK),
    Mutation(BALANCE, "exposed * (still + radiated))", "exposed * still)", HANDBOOK),
    Mutation(BALANCE, 'inputs["cold_coefficient"] * inputs', '1.5 * inputs["cold_coefficient"] * inputs', HANDBOOK),
    Mutation(SOURCES, '"water": (100.0, 500.0)', '"water": (150.0, 750.0)', HANDBOOK),
    Mutation(SOURCES, "SUNSHINE[1] * caught", "1.5 * SUNSHINE[1] * caught", INPUTS),
    Mutation(SOURCES, "-flux * area", "-3 * flux * area", INPUTS),
    Mutation(SOURCES, "min(PALM / plate(values), 1.0)", "1.0", INPUTS),
    Mutation("model/physics/conduction.py", "root * np.tanh(", "1.5 * root * np.tanh(", HANDBOOK),
    Mutation("model/physics/space.py", "np.tanh(x / 2)", "np.tanh(x)", ("tests/physics/test_space.py",)),
    Mutation("model/physics/plate.py", "np.cbrt(3 * p", "np.cbrt(p", ("tests/physics/test_plate.py",)),
    Mutation(
        COMPLETE, 'lost from the hot end", _ratio(5.0, 12.5)', 'lost from the hot end", _ratio(7.5, 18.75)', HANDBOOK
    ),
    Mutation(FRICTION, "AT_REST = (8.0, 2500.0)", "AT_REST = (12.0, 3750.0)", ("tests/inputs/test_friction.py",)),
    Mutation(FRICTION, "RING = (1.0, 100.0)", "RING = (1.5, 150.0)", ("tests/inputs/test_friction.py",)),
    Mutation(FRICTION, "BALL, PLAIN = 0.0015, 0.2", "BALL, PLAIN = 0.0015, 0.3", ("tests/inputs/test_friction.py",)),
    Mutation(FRICTION, "* SEAL * math.pi", "* 1.5 * SEAL * math.pi", ("tests/inputs/test_friction.py",)),
    Mutation(FRICTION, "DRAG_TO_REST = (0.2, 4.0)", "DRAG_TO_REST = (0.13, 2.7)", ("tests/inputs/test_friction.py",)),
    Mutation(EXCHANGE, "head = 0.5 * density", "head = density", HANDBOOK),
    Mutation(EXCHANGE, "/ hydraulic / ease + ends", "/ hydraulic * ease + ends", HANDBOOK),
    Mutation(EXCHANGE, "(bore / 4)", "(bore / 2)", HANDBOOK),
    Mutation(EXCHANGE, "ONE_WALL = 4.86 / 7.54 / 2", "ONE_WALL = 4.86 / 7.54", HANDBOOK),
    Mutation(BALANCE, "length=geometry.fall_length", "length=geometry.wall_length", HANDBOOK),
    Mutation(EXCHANGE, "hydraulic=2 * gap, length", "hydraulic=gap, length", HANDBOOK),
    Mutation(OPERATE, 'else inputs["piston_count"]\n', "else np.ones(inputs.size)\n", HANDBOOK),
    Mutation(OPERATE, '"piston_length", inputs["piston_count"])', '"piston_length", np.ones(inputs.size))', HANDBOOK),
    Mutation(SHAFT, "(travel - half[:, None])", "travel", HANDBOOK),
    Mutation(SHAFT, "- (1 / share - share) * against", "+ (1 / share - share) * against", HANDBOOK),
    Mutation(SHAFT, "work = -drive_work / share", "work = -drive_work * share", HANDBOOK),
    Mutation(
        SHAFT, "through = through - lifting", "through = through + 2 * lifting", ("tests/running/test_lifting.py",)
    ),
    Mutation("model/running/samples.py", "chance = stream(seed, name)", 'chance = stream(seed, "")', LAWS),
    Mutation("model/running/spread.py", "whole = max(sum(significant.values()), 1.0)", "whole = 1.0", LAWS),
    Mutation("model/running/points.py", "STALL_SHARE = 0.5", "STALL_SHARE = 0.8", LAWS),
    Mutation(
        "model/explain/diagnosis/ensemble.py",
        "CAUSES.index(NOTHING_BROKEN)",
        "0",
        ("tests/diagnosis/test_observations.py",),
    ),
    Mutation(
        "model/explain/gap.py",
        "known[number, entry.key] = _Known(project, number, visit=entry.key)",
        "known = {(number, entry.key): _Known(project, number, visit=entry.key)}",
        ("tests/explain/test_gap.py",),
    ),
    Mutation(
        "model/quantities/wheel.py", "4 * math.pi * turns / time**2", "2 * math.pi * turns / time**2", ("tests/bench",)
    ),
    Mutation("model/cycle/isothermal.py", "volume_gap / temperature_gap", "volume_gap / temperature_cold", CYCLE),
    Mutation("model/physics/conduction.py", "np.pi / 8", "np.pi / 4", ("tests/physics/test_conduction.py",)),
    Mutation(
        "model/physics/space.py", "np.pi**2 / 4", "np.pi**2 / 8", ("tests/physics", "tests/running/test_handbook.py")
    ),
    Mutation(
        "model/store/files.py",
        "if decoded.has_comments or decoded.older:",
        "if decoded.older:",
        ("tests/store/test_files.py",),
    ),
    Mutation("tui/state/session.py", "    del prototype.undo[:-UNDO_LIMIT]\n", "", ("tests/tui/test_session.py",)),
    Mutation("tui/storage/watcher.py", "GONE_AFTER = 2", "GONE_AFTER = 1", ("tests/tui/test_watcher.py",)),
    Mutation(
        "tui/view/comparison.py",
        "_CLOSE = 1e-6",
        "_CLOSE = 1e-2",
        ("tests/commands/test_compare.py", "tests/tui/test_sidebyside.py"),
    ),
    Mutation(
        "tui/textual_patches/key_order.py",
        "self._waiting.popleft()",
        "self._waiting.pop()",
        ("tests/tui/test_key_order.py",),
    ),
    Mutation("tui/view/keys.py", 'keys="w", action="why"', 'keys="x", action="why"', ("tests/tui/test_keys.py",)),
    Mutation(
        "tui/view/keys.py", 'keys="m", action="ask(\'mark\')"', 'keys="m", action="mark"', ("tests/tui/test_keys.py",)
    ),
    Mutation(
        "tui/state/requests.py",
        "self._about = None\n        again",
        "again",
        ("tests/tui/test_controller.py", "tests/tui/test_screens.py"),
    ),
    Mutation(
        "tui/state/recovery.py",
        "left=False",
        "left=True",
        ("tests/tui/test_brought_back.py", "tests/tui/test_pending.py"),
    ),
)
