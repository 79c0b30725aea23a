"""From what the model refuses to the sentences for the reader: every fault, and for each a value that works.

Loaded when a design is refused, and not before.
"""

from dataclasses import replace

import numpy as np
from pydantic import ValidationError

from vmech_core.design.faults import MOST_LISTED, DesignError, Disagreement, Fault, closest, expected
from vmech_core.design.keys import split_unit
from vmech_core.design.remedies import gears_for


class _Missing:
    """Stands in a sentence for the value of a key that is not there."""

    def __str__(self):
        return "(missing)"


def design_refused(model, data, error, touched=None):
    """Word the refusal of a whole design.

    Parameters
    ----------
    model : type [-]
        ``Design``.
    data : object [-]
        What was refused.
    error : ValidationError [-]
        What the model says about it.
    touched : iterable of str or None [-]
        Keys that a reader has changed; None if that is not known.

    Returns
    -------
    DesignError [-]
        To be raised: every fault in the order of the file, each with the nearest value that works.
    """
    sections = model.sections()
    faults = _faults(error, sections)
    faults = _in_order([*faults, *_hidden(model, data, faults)], sections)
    world = data
    for fault in faults[:MOST_LISTED]:
        rule = _rule(model, fault) if isinstance(fault.value, _Missing) else None
        world = _placed(world, fault, _ends(rule)[0] if rule else fault.candidate)
    for place, fault in enumerate(faults[:MOST_LISTED]):
        known = {other.key for other in faults if other is not fault}
        faults[place] = _settled(model, fault, world, known)
        world = _placed(world, faults[place], faults[place].candidate)
    shown = {"as_lines": touched is None, "gears_first": not touched or not any("gear" in key for key in touched)}
    return DesignError(*(replace(_as_given(fault, data), **shown) for fault in faults))


def _as_given(fault, data):
    """The fault with its value as it was given, where the model has made another type of it."""
    section, _, key = fault.key.partition(".")
    given = data.get(section, {}).get(key) if fault.between and not fault.entry else None
    return replace(fault, value=given) if type(given) is int and given == fault.value else fault


def _hidden(model, data, faults):
    """Faults between keys that stand whatever values the keys at fault may get, which were not compared for those."""
    found = []
    for end in (0, 1):
        world = data
        for fault in faults:
            rule = _rule(model, fault)
            if fault.between or not fault.meant and (rule is None or rule.listed == "must"):
                return []
            world = _placed(world, fault, fault.candidate if fault.meant else _ends(rule)[end])
        found.append(_faults_of(model, world))
    return [fault for fault in found[0] if fault.between and fault in found[1]]


def _rule(model, fault):
    section, _, key = fault.key.partition(".")
    return getattr(model.sections().get(section), "rules", {}).get(key)


def _ends(key):
    """Two values that a key takes, as far apart as can be."""
    if "number" in key.kind:
        return key.low, key.high
    return (key.words[0], key.words[-1]) if key.words else ("a.csv", "a.csv")


def _settled(model, fault, world, known):
    """The fault with a value that works, when all else is as it shall be; without one if none is found."""
    if fault.key == "cylinders.stroke_mm" and fault.between:
        alone, kept = known - {fault.key}, _placed(world, fault, fault.value)
        good = [gears for gears in gears_for(fault.value, world["gear_pair"])[:3]
                if {other.key for other in _faults_of(model, _geared(kept, gears))} <= alone]
        fault = replace(fault, gears=tuple(good[:1]))
    if fault.structural or fault.meant or fault.candidate is None:
        return fault
    tries = [(fault.candidate, fault.entry)]
    for value, entry in tries:
        after = _faults_of(model, _placed(world, fault, value))
        linked = fault.key.startswith("gear_pair.") or fault.key == "cylinders.stroke_mm"
        broken = linked and any(not other.between for other in after)
        if {other.key for other in after} <= known and not broken:
            return replace(fault, candidate=value, entry=entry)
        if len(tries) < 3:
            tries += [again for again in _second_guess(fault, value, after) if again not in tries]
    near = _inside(model, fault, world, known)
    return _with_gears(model, replace(fault, candidate=None), world, known) if near is None else replace(
        fault, candidate=near)


def _with_gears(model, fault, world, known):
    """Gears that give the stroke, for teeth or a module that no single value mends."""
    if fault.key not in ("gear_pair.module_mm", "gear_pair.pinion_teeth", "gear_pair.ring_teeth"):
        return fault
    stroke, key = world.get("cylinders"), fault.key.partition(".")[2]
    stroke = stroke.get("stroke_mm") if isinstance(stroke, dict) else None
    if model.sections()["cylinders"].rules["stroke_mm"].kept(stroke) is None:
        return fault
    for gears in gears_for(stroke, world["gear_pair"])[:3]:
        if {other.key for other in _faults_of(model, _geared(world, gears))} <= known and key in gears:
            others_told = {f"gear_pair.{name}" for name in gears} <= known | {fault.key}
            return replace(fault, candidate=gears[key]) if others_told else replace(fault, gears=(gears,))
    return fault


def _geared(world, gears):
    return {**world, "gear_pair": {**world["gear_pair"], **gears}}


def _placed(data, fault, value):
    """The data with another value in place of the one at fault, or under the name that was meant."""
    section, _, key = fault.key.partition(".")
    if value is None or fault.structural and (section not in data or key and key not in data[section]):
        return data
    if not fault.structural:
        return {**data, section: {**data[section], key: value}}
    if not key:
        return {value if name == section else name: keys for name, keys in data.items()}
    return {**data, section: {value if name == key else name: item for name, item in data[section].items()}}


def _faults_of(model, data):
    """What is wrong with plain data, in the order of the file."""
    try:
        model.model_validate(data)
    except ValidationError as error:
        return _faults(error, model.sections())
    return []


def _inside(model, fault, world, known):
    """The value nearest to the end of a key's range that no other key contradicts, three figures; None if none is."""
    start, (section, _, name) = fault.candidate, fault.key.partition(".")
    key = model.sections()[section].rules.get(name) if section in model.sections() else None
    if fault.entry or fault.between or not key or key.kind != "number" or start not in (key.low, key.high):
        return None

    def works(value):
        return {other.key for other in _faults_of(model, _placed(world, fault, value))} <= known

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
    return _in_order(found, sections)


def _in_order(faults, sections):
    order = ["", *sections]
    return sorted(faults, key=lambda fault: order.index(_section(fault, sections)))


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
        return [replace(fault, key=f"{place[0]}.{fault.key}") for fault in inner.faults]
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
    near = None if homes else closest(place[-1], names)
    return replace(fault, candidate=near, other_way=" or ".join(homes), meant=near is not None)


def _plain(name):
    return name if name.isprintable() and 0 < len(name) <= 60 else repr(name[:57])


def _second_guess(first, value, after):
    """What the checks between keys would rather have; and the module that gives the stroke, which is linear in it."""
    for fault in after:
        if fault.key == first.key and fault.candidate is not None:
            yield fault.candidate, fault.entry
        if first.key == "gear_pair.module_mm" and fault.key == "cylinders.stroke_mm" and fault.candidate:
            yield round(value * fault.value / fault.candidate, 6), 0
