"""From what the model refuses to the one sentence for the reader: the first fault, and a value that works.

Loaded when a design is refused, and not before.
"""

from dataclasses import replace

import numpy as np
from pydantic import ValidationError

from vmech_core.design.faults import DesignError, Disagreement, Fault, closest, expected
from vmech_core.design.keys import split_unit


class _Missing:
    """Stands in a sentence for the value of a key that is not there."""

    def __str__(self):
        return "(missing)"


def design_refused(model, data, error):
    """Word the refusal of a whole design.

    Parameters
    ----------
    model : type [-]
        ``Design``.
    data : object [-]
        What was refused.
    error : ValidationError [-]
        What the model says about it.

    Returns
    -------
    DesignError [-]
        To be raised: the first fault in the order of the file, with the number of the others.
    """
    faults = _faults(error, model.sections())
    first, known = faults[0], {fault.key for fault in faults[1:]}
    if first.structural:
        return DesignError(first, len(faults) - 1)
    tries = [(first.candidate, first.entry)] if first.candidate is not None else []
    for value, entry in tries:
        after = _trial(model, first, value, data)
        broken = _linked(first) and any(not fault.between for fault in after)
        if {fault.key for fault in after} <= known and not broken:
            return DesignError(replace(first, candidate=value, entry=entry), len(faults) - 1)
        if len(tries) < 3:
            tries += [again for again in _second_guess(first, value, after) if again not in tries]
    return DesignError(replace(first, candidate=_inside(model, first, data, known)), len(faults) - 1)


def _inside(model, first, data, known):
    """The value nearest to the end of a key's range that no other key contradicts, three figures; None if none is."""
    start, (section, _, name) = first.candidate, first.key.partition(".")
    key = model.sections()[section].rules.get(name) if section in model.sections() else None
    if first.entry or first.between or not key or isinstance(start, (str, list)) or start not in (key.low, key.high):
        return None

    def works(value):
        return {fault.key for fault in _trial(model, first, value, data)} <= known

    outer, span = start, key.low + key.high - 2 * start
    steps = (start + span * 2.0 ** (0.5 * step - 10.0) for step in range(20))  # finer near the end that was asked for
    inner = next((value for value in steps if works(value)), None)
    if inner is None:
        return None
    for _ in range(20):
        middle = 0.5 * (outer + inner)
        outer, inner = (outer, middle) if works(middle) else (middle, inner)
    unit = 10.0 ** (np.floor(np.log10(abs(inner))) - 2)
    near = float(f"{unit * (np.ceil(inner / unit) if span > 0 else np.floor(inner / unit)):.3g}")
    return near if works(near) else inner


def _faults(error, sections):
    """Faults in the order of the file; a mistyped or misplaced key counts once, not also as missing."""
    found = [fault for item in error.errors(include_url=False) for fault in _translated(item, sections)]
    meant = {_near(fault, sections) for fault in found} | {h for fault in found for h in _homes(fault, sections)}
    found = [fault for fault in found if not (isinstance(fault.value, _Missing) and fault.key in meant)]
    order = ["", *sections]
    return sorted(found, key=lambda fault: order.index(_section(fault, sections)))


def _section(fault, sections):
    name = fault.key.partition(".")[0]
    return name if name in sections else ""


def _near(fault, sections):
    """Key that a wrong name was meant to be; empty if the fault is of another kind."""
    if not fault.structural or fault.candidate is None:
        return ""
    section = _section(fault, sections)
    return f"{section}.{fault.candidate}" if section else fault.candidate


def _homes(fault, sections):
    """Keys of that name in the sections where it does exist."""
    name = fault.key.removeprefix(f"{_section(fault, sections)}.") if fault.structural else None
    return [f"{section}.{name}" for section, model in sections.items() if name in model.rules]


def _translated(item, sections):
    place, kind, value = [str(part) for part in item["loc"]], item["type"], item["input"]
    inner = item.get("ctx", {}).get("error")
    if isinstance(inner, DesignError):
        return [replace(inner.fault, key=f"{place[0]}.{inner.fault.key}")]
    if isinstance(inner, Disagreement):
        return [replace(fault, between=True) for fault in inner.args[0]]
    if kind == "missing":
        return [_missing(sections, *place)]
    if kind in ("extra_forbidden", "invalid_key"):
        return [_unknown(sections, *place, value=value)]
    what = f"a section [{place[0]}] with keys and values" if place else "a set of sections with keys and values"
    return [Fault(place[0] if place else "design", value, f"not {what}")]


def _missing(sections, section, key=""):
    if not key:
        return Fault(section, _Missing(), f"required: a section [{section}] with its keys")
    return Fault(f"{section}.{key}", _Missing(), f"required: {expected(sections[section].rules[key])}",
                 split_unit(key)[1])


def _unknown(sections, *place, value):
    names = sections[place[0]].rules if len(place) > 1 else sections
    words = f"key of [{place[0]}]" if len(place) > 1 else f"section, one of {', '.join(sections)}"
    fault = Fault(".".join([*place[:-1], _plain(place[-1])]), value, f"not a known {words}", structural=True)
    homes = [f"{place[-1]} in section [{home.partition('.')[0]}]" for home in _homes(fault, sections)]
    return replace(fault, candidate=None if homes else closest(place[-1], names), other_way=" or ".join(homes))


def _plain(name):
    return name if name.isprintable() and 0 < len(name) <= 60 else repr(name[:57])


def _second_guess(first, value, after):
    """What the checks between keys would rather have; and the module that gives the stroke, which is linear in it."""
    for fault in after:
        if fault.key == first.key and fault.candidate is not None:
            yield fault.candidate, fault.entry
        if first.key == "gear_pair.module_mm" and fault.key == "cylinders.stroke_mm" and fault.candidate:
            yield round(value * fault.value / fault.candidate, 6), 0


def _linked(fault):
    return fault.key.startswith("gear_pair.") or fault.key == "cylinders.stroke_mm"


def _trial(model, fault, value, data):
    """Faults of the design with another value in place of the one at fault."""
    section, key = fault.key.split(".")
    try:
        model.model_validate({**data, section: {**data[section], key: value}})
    except ValidationError as error:
        return _faults(error, model.sections())
    return []
