"""The sections of a design file, made of the rows of ``data/design_keys.csv``: a model for each, a field for each key.

The unit of a key is the ending of its name. ``section.si`` gives the same values in SI under the name without it.
"""

from functools import cached_property
from itertools import groupby
from typing import Any, ClassVar

import numpy as np
from pydantic import BaseModel, ConfigDict, create_model, field_validator

from vmech_core.base import rows, to_si
from vmech_core.design.keys import Key, split_unit

CELSIUS_ZERO = 273.15  # K, by definition of the scale


class _Values:
    """Plain attributes that cannot be set again."""

    def __init__(self, values):
        vars(self).update(values)

    def __setattr__(self, name, value):
        raise AttributeError(f"{name} is read-only; `design.changed` makes another design")


class _Frozen(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", strict=True)


class _Section(_Frozen):
    """One section of a design file; frozen, and strict about types.

    ``rules`` holds every key of the section, in the order of the file, with its range and meaning.

    Attributes
    ----------
    si : object [-]
        The values in SI, each under its key's name without the unit: ``bore_mm`` is ``si.bore`` in m, ``speed_rpm`` is
        ``si.speed`` in rad/s. Lists are read-only arrays; texts, and the word "estimate", stay as they are.
    """

    rules: ClassVar[dict[str, Key]] = {}

    @field_validator("*", mode="before")
    @classmethod
    def _check(cls, value, info):
        return cls.rules[info.field_name].check(info.field_name, value)

    def to_dict(self):
        """Give the section as plain data, ready for TOML.

        Returns
        -------
        dict [-]
            Key to value; lists are lists.
        """
        values = {name: getattr(self, name) for name in type(self).model_fields}
        return {name: list(value) if isinstance(value, tuple) else value for name, value in values.items()}

    @cached_property
    def si(self):
        return _Values({split_unit(name)[0]: _in_si(name, value) for name, value in self.to_dict().items()})


def _described(name, key):
    """Lines of a docstring."""
    kind = {"number": "float", "whole number": "int"}.get(key.kind, "str")
    kind = {"must": f"(K,) tuple of {kind}", "may": f"{kind}, (K,) tuple"}.get(key.listed, kind)
    also = " or str" if key.words and key.kind == "number" else ""
    return f"    {name} : {kind}{also} [{key.unit(name)}]\n        {key.meaning}"


def _in_si(name, value):
    unit = split_unit(name)[1]
    if isinstance(value, str):
        return value
    value = np.array(value) if isinstance(value, list) else value
    result = value + CELSIUS_ZERO if unit == "°C" else to_si(value, unit)
    if isinstance(result, np.ndarray):
        result.flags.writeable = False
    return result


def _section(name, about, *keys):
    """The model of one section: the row that says what it is, then a row for each key."""
    rules = {row["key"]: _rule(row) for row in keys}
    fields = {row["key"]: (Any, _default(row, rules[row["key"]])) for row in keys}
    model = create_model("_" + name.title().replace("_", ""), __base__=_Section, __module__=__name__, **fields)
    lines = [_described(key, rule) for key, rule in rules.items()]
    model.rules = rules
    model.__doc__ = "\n".join([about["meaning"], "\n    Attributes\n    ----------", *lines, "    "])
    globals()[model.__name__] = model  # where a pickled design looks for it
    return model


def _rule(row):
    kind = float if row["kind"] == "number" else int
    words = tuple(filter(None, row["words"].split(", ")))
    return Key(row["kind"], row["meaning"], row["used"], kind(row["low"] or 0), kind(row["high"] or 0), words,
               row["listed"])


def _default(row, rule):
    text = row["default"]
    return float(text) if text and text not in rule.words else text or ...


def _sections():
    """Every section as a field of the whole; one whose keys all have a default may be left out."""
    for name, group in groupby(rows("design_keys"), lambda row: row["section"]):
        model = _section(name, *group)
        optional = not any(field.is_required() for field in model.model_fields.values())
        yield name, (model, model() if optional else ...)


class Sections(create_model("_Every", __base__=_Frozen, **dict(_sections()))):
    """All sections of a design file, in the order of the file.

    Attributes
    ----------
    design : Section [-]
        Name, kind of machine, status of the numbers.
    cylinders : Section [-]
        Bore, stroke, bank angles.
    duty : Section [-]
        Speed, cycle, pressures, life.
    gear_pair : Section [-]
        Pinion and ring gear.
    crank : Section [-]
        Planet crank and what turns it.
    carrier : Section [-]
        The two carriers in the block.
    bearings : Section [-]
        Kind and play of the bearings.
    guide : Section [-]
        Guide, piston and piston rod.
    masses : Section [-]
        Masses, or "estimate".
    lubricant : Section [-]
        What wets the rubbing surfaces.
    ordinary_crank : Section [-]
        The ordinary drive to compare with.
    spark_cycle : Section [-]
        Assumptions of the computed engine cycle.
    fluid_cycle : Section [-]
        Fluid of a compressor or a pump.
    counterweights : Section [-]
        Bodies that balance the straight-line drive.
    surfaces : Section [-]
        Roughness of the rubbing surfaces.
    running_state : Section [-]
        Temperatures of the parts while the machine runs.
    making : Section [-]
        How the machine is put together.
    """
