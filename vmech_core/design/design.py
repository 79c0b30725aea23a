"""A design: the sections of its file, checked against one another; wrong input is refused with one sentence."""

from functools import cached_property
from pathlib import Path

from pydantic import PrivateAttr, ValidationError, model_validator

from vmech_core.design.checks import cross_faults
from vmech_core.design.sections import Sections
from vmech_core.gears.geometry import InternalPair


class Design(Sections):
    """A piston machine with the straight-line drive, and the ordinary crank drive beside it; frozen and checked.

    Make one with ``load_design`` or ``Design.from_dict``. Its sections are its attributes, listed under
    ``Sections``. Two designs are equal if all their keys are.
    """

    _source: Path | None = PrivateAttr(None)
    _text: str = PrivateAttr("")

    @model_validator(mode="after")
    def _agree(self):
        if faults := cross_faults(self):
            from vmech_core.design.faults import Disagreement

            raise Disagreement(faults)
        return self

    @classmethod
    def from_dict(cls, data, source=None, text="", touched=None):
        """Check plain data, as a TOML reader gives them, and make a design of them.

        Parameters
        ----------
        data : dict [-]
            Section name to a dict of keys.
        source : Path or None [-]
            File they came from.
        text : str [-]
            Text of that file, so that saving can keep its comments.
        touched : iterable of str or None [-]
            Keys that a reader has changed in a design that was in order, for what is offered first if it no longer is;
            None if that is not known.

        Returns
        -------
        Design [-]
            The design.

        Raises
        ------
        DesignError
            If anything is wrong: an InputError with a sentence for each fault.
        """
        try:
            made = cls.model_validate(data)
        except ValidationError as error:
            from vmech_core.design.refusal import design_refused

            raise design_refused(cls, data, error, touched) from None
        made._source, made._text = source, text
        return made

    def changed(self, *pair, **values):
        """Make a copy with other values, checked again.

        Parameters
        ----------
        pair : str and object, or dict [-]
            A key with its section and its new value, ``changed("cylinders.bore_mm", 70)``, or a dict of several.
        values : object [-]
            New value by key with its section; such names need a dict: ``changed(**{"cylinders.bore_mm": 70})``.

        Returns
        -------
        Design [-]
            The changed design, from the same source.

        Raises
        ------
        InputError
            If a key does not exist, its value is not there, or the new design is not possible.
        """
        if pair:
            from vmech_core.design.faults import as_pairs

            values = {**as_pairs(pair), **values}
        data = self.to_dict()
        for name, value in values.items():
            section, dot, key = name.partition(".")
            if dot and isinstance(data.get(section, {}), dict):
                data.setdefault(section, {})[key] = value
            else:
                data[section] = value
        return type(self).from_dict(data, self._source, self._text, values)

    def to_dict(self):
        """Give the design as plain data, ready for TOML.

        Returns
        -------
        dict [-]
            Section name to a dict of keys; lists are lists.
        """
        return {section: getattr(self, section).to_dict() for section in self.sections()}

    @classmethod
    def sections(cls):
        """Sections of a design file with their models, in the order of the file.

        Returns
        -------
        dict of str to type [-]
            Section name to its subclass of Section.
        """
        return {name: field.annotation for name, field in cls.model_fields.items()}

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

    @property
    def journals_outward(self) -> float:
        """Side of the meshes on which the crank's journals lie [1]: -1 inside, 0 in their planes, 1 outside."""
        beside = -1.0 if self.carrier.support == "enclosing" else 1.0
        return 0.0 if self.crank.journal_place == "in_pinion" else beside

    @cached_property
    def pair(self) -> InternalPair:
        """Gear pair in SI, with all that follows from it."""
        own = self.gear_pair.si
        return InternalPair(
            module=own.module, pinion_teeth=own.pinion_teeth, ring_teeth=own.ring_teeth,
            pressure_angle=float(own.pressure_angle), pinion_shift=own.pinion_shift, ring_shift=own.ring_shift,
            pinion_addendum=own.pinion_addendum, ring_addendum=own.ring_addendum,
            pinion_dedendum=own.pinion_dedendum, ring_dedendum=own.ring_dedendum, backlash=own.backlash,
            tool_tip_radius=own.pinion_tool_tip_radius, ring_fillet_radius=own.ring_fillet_radius)

    def __eq__(self, other):
        return isinstance(other, Design) and self.to_dict() == other.to_dict()

    def __hash__(self):
        return hash(tuple(getattr(self, section) for section in self.sections()))
