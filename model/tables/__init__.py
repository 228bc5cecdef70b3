"""The data tables that ship with the program, and their one loader.

Each row carries its unit, its source and what it was checked against; a malformed row raises `TableError` with file and
key. Numbers are SI. Never imports numpy; opens no file of a user. Called by the store of builds, the fields and the
screens; the physics takes plain numbers and never looks in here.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping
from dataclasses import MISSING, dataclass, fields
from functools import lru_cache
from pathlib import Path
from types import MappingProxyType
from typing import Any, TypeVar, get_type_hints

from model.errors import TableError

FORMAT = 1
"""Version of the tables' shape."""

CLASSES = ("metal", "glass", "plastic", "foam", "wood", "fibre")
"""Classes of material; the tests hold each class to its own bounds."""

NO_SOURCE = "common practice, no source"
"""Stands where the trade knows something and no source was found."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """Where a formula or a number was taken from."""

    key: str
    """Key of the row: "ChurchillChu1975"."""
    authors: str
    """Authors or body."""
    title: str
    """Title of book, paper or standard."""
    publisher: str
    """Publisher or journal."""
    year: int
    """Year of the edition used; 0 where it is not known."""
    took: str
    """What we took from it."""
    seen: str
    """How it was read: "seen", "library", "from memory", "from memory, agrees with a library"."""
    identifier: str = ""
    """DOI, ISBN or report number, where known."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """A point from a different source that a row must meet."""

    quantity: str
    """Name of the field that is checked."""
    value: float
    """Value in that source, SI."""
    tolerance: float
    """Relative tolerance, [-]."""
    source: str
    """Key in ``sources.toml``."""
    entry: str
    """Exact name of the entry or table there."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Material:
    """A solid that engines are made of, at room temperature."""

    key: str
    """Key of the row: "tinplate"."""
    name: str
    """Name as a builder says it."""
    kind: str
    """One of `CLASSES`."""
    conductivity: float
    """Thermal conductivity, [W/(m K)]."""
    conductivity_spread: float
    """Relative standard uncertainty of the conductivity, from batch to batch, [-]."""
    density: float
    """Density, [kg/m^3]."""
    specific_heat: float
    """Specific heat, [J/(kg K)]."""
    temperature_max: float
    """Highest temperature that a part of an engine should see, [K]."""
    emissivity: float
    """Emissivity of the surface as it is used, [-]."""
    emissivity_spread: float
    """Relative standard uncertainty of the emissivity, [-]."""
    source: str
    """Key in ``sources.toml``."""
    where: str
    """Table in the source, and "from memory" where it was not seen."""
    modulus: float = 0.0
    """Modulus of elasticity, [Pa]; 0 where no part is a flat end of it."""
    poisson: float = 0.3
    """Poisson's ratio, [-]."""
    note: str = ""
    """Known faults and limits of the row."""
    check: tuple[Check, ...] = ()
    """Points from other sources."""


Row = TypeVar("Row", bound=Source | Material)


def _fail(file: str, key: str, what: str) -> TableError:
    return TableError(f"{what}.", where=f"{file}, {key}", hint="The installation is damaged: install it again.")


def _value(value: Any, wanted: Any, *, file: str, place: str) -> Any:
    if wanted is str and isinstance(value, str):
        return value
    if wanted is int and isinstance(value, int) and not isinstance(value, bool):
        return value
    if wanted is float and isinstance(value, int | float) and not isinstance(value, bool):
        if not math.isfinite(value) or value < 0:
            raise _fail(file, place, f"{value!r} is not a finite number of zero or more")
        return float(value)
    if wanted == tuple[Check, ...] and isinstance(value, list):
        return tuple(_row(Check, item, file=file, place=f"{place}.{n}") for n, item in enumerate(value))
    raise _fail(file, place, f"{value!r} is of the wrong type")


def _row(row_type: type[Any], row: Any, *, file: str, place: str, **given: str) -> Any:
    if not isinstance(row, dict):
        raise _fail(file, place, "This is not a table")
    hints = get_type_hints(row_type)
    strange = sorted(set(row) - set(hints) | set(row) & set(given))
    if strange:
        raise _fail(file, f"{place}.{strange[0]}", "No such key is known")
    wanted = [f.name for f in fields(row_type) if f.default is MISSING and f.name not in given]
    missing = [name for name in wanted if name not in row]
    if missing:
        raise _fail(file, f"{place}.{missing[0]}", "This key is missing")
    values = {name: _value(value, hints[name], file=file, place=f"{place}.{name}") for name, value in row.items()}
    return row_type(**given, **values)


def parse(text: str, row_type: type[Row], *, file: str, table: str) -> Mapping[str, Row]:
    """Read the rows of one table.

    Parameters
    ----------
    text : str
        The TOML text.
    row_type : type
        Dataclass of a row.
    file : str
        Name of the file, for the error.
    table : str
        Name of the table that holds the rows: "material".

    Returns
    -------
    mapping
        The rows by key, in the order of the file; read-only.

    Raises
    ------
    TableError
        The text is not TOML, has another format, or a row has a wrong, unknown or missing key.
    """
    try:
        document = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise _fail(file, "whole file", f"This is not TOML: {error}") from error
    if document.get("format") != FORMAT:
        raise _fail(file, "format", f"Format {document.get('format')!r} is not {FORMAT}")
    rows = document.get(table)
    if not isinstance(rows, dict) or not rows:
        raise _fail(file, table, "There are no rows")
    return MappingProxyType(
        {name: _row(row_type, row, file=file, place=f"{table}.{name}", key=name) for name, row in rows.items()}
    )


def _load(name: str, row_type: type[Row], table: str) -> Mapping[str, Row]:
    return parse(text_of(name), row_type, file=name, table=table)


def text_of(name: str) -> str:
    """Return the text of a table; it lies beside this module."""
    return Path(__file__).with_name(name).read_text(encoding="utf-8")


def _sourced(rows: Mapping[str, Row], *, file: str) -> Mapping[str, Row]:
    known = {*sources(), NO_SOURCE}
    for key, row in rows.items():
        cited = [getattr(row, "source", ""), *(point.source for point in getattr(row, "check", ()))]
        for source in cited:
            if source not in known:
                raise _fail(file, key, f"The source {source!r} is not in sources.toml")
    return rows


@lru_cache(maxsize=1)
def sources() -> Mapping[str, Source]:
    """Return the sources by key."""
    return _load("sources.toml", Source, "source")


@lru_cache(maxsize=1)
def materials() -> Mapping[str, Material]:
    """Return the materials by key."""
    rows = _sourced(_load("materials.toml", Material, "material"), file="materials.toml")
    for key, row in rows.items():
        if row.kind not in CLASSES:
            raise _fail("materials.toml", f"material.{key}.kind", f"{row.kind!r} is none of {', '.join(CLASSES)}")
        if row.emissivity > 1.0:
            raise _fail("materials.toml", f"material.{key}.emissivity", "An emissivity above 1 cannot be")
    return rows
