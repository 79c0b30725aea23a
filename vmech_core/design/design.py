"""A design: the sections of its file, checked against one another; wrong input is refused with one sentence."""

from __future__ import annotations

from dataclasses import replace
from functools import cached_property
from pathlib import Path

from pydantic import BaseModel, ConfigDict, PrivateAttr, ValidationError, model_validator

from vmech_core.design import sections as parts
from vmech_core.design.checks import cross_faults
from vmech_core.design.faults import DesignError, Fault, Missing, closest
from vmech_core.design.keys import split_unit
from vmech_core.gears.geometry import InternalPair


class _CrossFaults(ValueError):
    """Carries what does not agree between keys through pydantic."""


class Design(BaseModel):
    """A piston machine with the straight-line drive, and the ordinary crank drive beside it; frozen and checked.

    Make one with ``load_design`` or ``Design.from_dict``. Two designs are equal if all their keys are.

    Attributes
    ----------
    design : About [-]
        Name, kind of machine, status of the numbers.
    cylinders : Cylinders [-]
        Bore, stroke, bank angles.
    duty : Duty [-]
        Speed, cycle, pressures, life.
    gear_pair : GearPair [-]
        Pinion and ring gear.
    crank : Crank [-]
        Planet crank and what turns it.
    carrier : Carrier [-]
        The two carriers in the block.
    bearings : Bearings [-]
        Kind and play of the bearings.
    guide : Guide [-]
        Guide, piston and piston rod.
    masses : Masses [-]
        Masses, or "estimate".
    lubricant : Lubricant [-]
        What wets the rubbing surfaces.
    ordinary_crank : OrdinaryCrank [-]
        The ordinary drive to compare with.
    spark_cycle : SparkCycle [-]
        Assumptions of the computed engine cycle.
    fluid_cycle : FluidCycle [-]
        Fluid of a compressor or a pump.
    surfaces : Surfaces [-]
        Roughness of the rubbing surfaces.
    """

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True)

    design: parts.About
    cylinders: parts.Cylinders
    duty: parts.Duty
    gear_pair: parts.GearPair
    crank: parts.Crank
    carrier: parts.Carrier
    bearings: parts.Bearings
    guide: parts.Guide
    masses: parts.Masses
    lubricant: parts.Lubricant
    ordinary_crank: parts.OrdinaryCrank
    spark_cycle: parts.SparkCycle = parts.SparkCycle()
    fluid_cycle: parts.FluidCycle = parts.FluidCycle()
    surfaces: parts.Surfaces = parts.Surfaces()

    _source: Path | None = PrivateAttr(None)
    _text: str = PrivateAttr("")

    @model_validator(mode="after")
    def _agree(self):
        faults = cross_faults(self)
        if faults:
            raise _CrossFaults(faults)
        return self

    @classmethod
    def from_dict(cls, data, source=None, text=""):
        """Check plain data, as a TOML reader gives them, and make a design of them.

        Parameters
        ----------
        data : dict [-]
            Section name to a dict of keys.
        source : Path or None [-]
            File they came from.
        text : str [-]
            Text of that file, so that saving can keep its comments.

        Returns
        -------
        Design [-]
            The design.

        Raises
        ------
        DesignError
            If anything is wrong: an InputError that names the first fault and says how many more there are.
        """
        try:
            made = cls.model_validate(data)
        except ValidationError as error:
            faults = _faults(error)
            raise DesignError(_confirmed(faults, data), len(faults) - 1) from None
        made._source, made._text = source, text
        return made

    def changed(self, **values):
        """Make a copy with other values, checked again.

        Parameters
        ----------
        values : object [-]
            New value by key with its section; such names need a dict: ``changed(**{"cylinders.bore_mm": 70})``.

        Returns
        -------
        Design [-]
            The changed design, from the same source.

        Raises
        ------
        DesignError
            If a key does not exist or the new design is not possible.
        """
        data = self.to_dict()
        for name, value in values.items():
            section, dot, key = name.partition(".")
            if dot:
                data.setdefault(section, {})[key] = value
            else:
                data[section] = value
        return type(self).from_dict(data, self._source, self._text)

    def to_dict(self):
        """Give the design as plain data, ready for TOML.

        Returns
        -------
        dict [-]
            Section name to a dict of keys; lists are lists.
        """
        return {section: getattr(self, section).to_dict() for section in section_models()}

    @property
    def name(self) -> str:
        """Name of the design."""
        return self.design.name

    @property
    def n_cylinders(self) -> int:
        """Number of cylinders [1]."""
        return len(self.cylinders.bank_angle_deg)

    @property
    def source(self) -> Path | None:
        """File the design was loaded from; None if it was made in another way."""
        return self._source

    @property
    def text(self) -> str:
        """Text of that file as it was read; empty if there was none."""
        return self._text

    @property
    def trace_path(self) -> Path:
        """File of the pressure trace: beside the design file, or in the working folder if there is none."""
        return (self._source.parent if self._source else Path()) / self.duty.pressure_trace

    @cached_property
    def pair(self) -> InternalPair:
        """Gear pair in SI, with all that follows from it."""
        own = self.gear_pair.si
        return InternalPair(
            own.module, own.pinion_teeth, own.ring_teeth, float(own.pressure_angle), own.pinion_shift, own.ring_shift,
            own.pinion_addendum, own.ring_addendum, own.pinion_dedendum, own.ring_dedendum, own.backlash,
            own.pinion_tool_tip_radius, own.ring_fillet_radius)

    def __eq__(self, other):
        return isinstance(other, Design) and self.to_dict() == other.to_dict()

    def __hash__(self):
        return hash(tuple(getattr(self, section) for section in section_models()))


def section_models():
    """Sections of a design file with their models, in the order of the file.

    Returns
    -------
    dict of str to type [-]
        Section name to its subclass of Section.
    """
    return {name: field.annotation for name, field in Design.model_fields.items()}


def _faults(error):
    """Faults in the order of the file; a mistyped or misplaced key counts once, not also as missing."""
    found = [fault for item in error.errors(include_url=False) for fault in _translated(item)]
    meant = {_near(fault) for fault in found} | {home for fault in found for home in _homes(fault)}
    found = [fault for fault in found if not (isinstance(fault.value, Missing) and fault.key in meant)]
    order = ["", *section_models()]
    return sorted(found, key=lambda fault: order.index(_section(fault)))


def _section(fault):
    name = fault.key.partition(".")[0]
    return name if name in Design.model_fields else ""


def _near(fault):
    """Key that a wrong name was meant to be; empty if the fault is of another kind."""
    if not fault.structural or fault.candidate is None:
        return ""
    return f"{_section(fault)}.{fault.candidate}" if _section(fault) else fault.candidate


def _homes(fault):
    """Keys of that name in the sections where it does exist."""
    name = fault.key.removeprefix(f"{_section(fault)}.") if fault.structural else None
    return [f"{section}.{name}" for section, model in section_models().items() if name in model.keys()]


def _translated(item):
    place, kind, value = [str(part) for part in item["loc"]], item["type"], item["input"]
    inner = item.get("ctx", {}).get("error")
    if isinstance(inner, _CrossFaults):
        return [replace(fault, between=True) for fault in inner.args[0]]
    if isinstance(inner, DesignError):
        return [replace(inner.fault, key=f"{place[0]}.{inner.fault.key}")]
    if kind == "missing":
        return [_missing(*place)]
    if kind in ("extra_forbidden", "invalid_key"):
        return [_unknown(*place, value=value)]
    what = f"a section [{place[0]}] with keys and values" if place else "a set of sections with keys and values"
    return [Fault(place[0] if place else "design", value, f"not {what}")]


def _missing(section, key=""):
    if not key:
        return Fault(section, Missing(), f"required: a section [{section}] with its keys")
    rule = section_models()[section].keys()[key]
    return Fault(f"{section}.{key}", Missing(), f"required: {rule.expects()}", split_unit(key)[1])


def _unknown(*place, value):
    models = section_models()
    names = models[place[0]].keys() if len(place) > 1 else models
    words = f"not a known key of [{place[0]}]" if len(place) > 1 else f"not a known section, one of {', '.join(models)}"
    fault = Fault(".".join([*place[:-1], _plain(place[-1])]), value, words, structural=True)
    homes = [f"{place[-1]} in section [{home.partition('.')[0]}]" for home in _homes(fault)]
    return replace(fault, candidate=None if homes else closest(place[-1], names), other_way=" or ".join(homes))


def _plain(name):
    return name if name.isprintable() and 0 < len(name) <= 60 else repr(name[:57])


def _confirmed(faults, data):
    """The first fault; a value is offered only if the design with it has no fault that it did not have before."""
    first, known = faults[0], {fault.key for fault in faults[1:]}
    tries = [(first.candidate, first.entry)] if first.candidate is not None and not first.structural else []
    for value, entry in tries:
        after = _trial(first, value, data)
        if {fault.key for fault in after} <= known and not (_linked(first) and after and not _compared(after)):
            return replace(first, candidate=value, entry=entry)
        if len(tries) < 3:
            tries += [again for again in _second_guess(first, value, after, data) if again not in tries]
    return first if first.structural else replace(first, candidate=None)


def _second_guess(first, value, after, data):
    """What the checks between keys would rather have; and the module that gives the stroke, which is linear in it."""
    for fault in after:
        if fault.key == first.key and fault.candidate is not None:
            yield fault.candidate, fault.entry
        if first.key == "gear_pair.module_mm" and fault.key == "cylinders.stroke_mm" and fault.candidate:
            yield round(value * fault.value / fault.candidate, 6), 0


def _linked(fault):
    return fault.key.startswith("gear_pair.") or fault.key == "cylinders.stroke_mm"


def _compared(faults):
    """True if the keys could be checked against one another, which needs all of them in range."""
    return all(fault.between for fault in faults)


def _trial(fault, value, data):
    """Faults of the design with another value in place of the one at fault."""
    section, key = fault.key.split(".")
    try:
        Design.model_validate({**data, section: {**data[section], key: value}})
    except ValidationError as error:
        return _faults(error)
    return []
