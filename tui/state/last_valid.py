"""What holds of a build while a text of it cannot be read or is being typed: that text changes nothing else."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from model.fields import Build, is_unknown
from tui.state.session import Session


def last_valid_build(session: Session) -> Build:
    """Return what the texts say, and of a flagged one what stood there when all could be read last."""
    parsed, last = session.parsed, (session.prototype.before or session.prototype.outlook)
    if not parsed.problems or last.build is None or last.mark != session.number:
        return parsed.build
    return replace(parsed.build, **{name: getattr(last.build, name) for name in parsed.problems})


def assumed_texts(session: Session) -> Mapping[str, str]:
    """Return what was taken for the fields that say nothing, in the prediction that is shown."""
    outlook = session.before or session.prototype.outlook
    taken = outlook.prediction.assumed if outlook.prediction and outlook.mark == session.number else {}
    return {name: text for name, text in taken.items() if is_unknown(session.texts.get(name, ""))}
