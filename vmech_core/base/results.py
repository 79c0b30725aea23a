"""Plain frozen data that the modules hand to one another: motion, loads, contacts, margins, estimates.

Shapes used everywhere: A angles, K cylinders, and ``...`` for any leading axes (a batch of designs).
A quantity of a cylinder has shape (..., K, A), one of the whole machine (..., A), one of the two ends (..., 2, A):
end 1 lies at negative z, end 2 at positive z and always drives the load.
Plane vectors are complex numbers: the real axis is bank angle 0, angles grow anticlockwise.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from vmech_core.base.tables import rows


def record(names, **defaults):
    """Make a frozen dataclass of a class whose docstring describes its fields, with types, shapes and units.

    Parameters
    ----------
    names : str [-]
        Fields without a default, in their order, divided by blanks.
    defaults : object [-]
        Fields with their defaults, behind those.

    Returns
    -------
    callable [-]
        Decorator of the class.
    """
    def made(cls):
        cls.__annotations__ = dict.fromkeys([*names.split(), *defaults], object)
        for name, value in defaults.items():
            setattr(cls, name, value)
        return dataclass(frozen=True)(cls)

    return made


@record("angle position velocity acceleration")
class Motion:
    """Motion of the pistons along their cylinder lines.

    Attributes
    ----------
    angle : (A,) array [rad]
        Angle of the carrier (or of the ordinary crank), anticlockwise from bank angle 0.
    position : (..., K, A) array [m]
        Distance of the piston pin from O along the outward cylinder line.
    velocity : (..., K, A) array [m/s]
        Outward velocity.
    acceleration : (..., K, A) array [m/s2]
        Outward acceleration.
    """

@record("angle channels model")
class Loads:
    """Forces and torque at every angle, by channel name.

    Attributes
    ----------
    angle : (A,) array [rad]
        Angle of the carrier (or of the ordinary crank).
    channels : Mapping [-]
        Channel name to array; names, units and signs stand in ``base.CHANNELS``.
    model : str [-]
        Assumption under which the loads hold, in words.
    """

    def __getitem__(self, name: str) -> np.ndarray:
        return self.channels[name]

    def __contains__(self, name: str) -> bool:
        return name in self.channels


#: The two machines that the course compares: id to words.
MACHINES: Mapping[str, str] = MappingProxyType({"straight": "straight-line drive", "ordinary": "ordinary crank"})


@record("part label kind channel count speed", note="", bodies=())
class Contact:
    """One pair of rubbing or rolling surfaces, declared by a mechanism as data.

    Attributes
    ----------
    part : str [-]
        Which pair it is; one to a mechanism. Journals: ``crankpin``, ``wrist_pin``, ``crank_in_carrier``,
        ``carrier_in_block``, ``main_bearing``. Others: ``guide``, ``bore``, ``slot``, ``rings``, ``mesh``.
    label : str [-]
        The same in words, for readers only.
    kind : str [-]
        ``journal``, ``sliding``, ``mesh`` or ``rings``.
    channel : str [-]
        Load channel that presses the pair together.
    count : int [1]
        Number of such pairs in the machine.
    speed : float [m/s]
        Greatest rubbing speed, for a journal that of the surfaces against each other.
    note : str [-]
        What is unusual about it.
    bodies : tuple of str [-]
        Of a journal: bodies of journal and sleeve, names in ``body_speeds`` of the mechanism; empty for others.
    """

@record("name value limit unit sense source", note="")
class Margin:
    """One screened condition: a value against its limit.

    Attributes
    ----------
    name : str [-]
        What is screened.
    value : float [-]
        Computed value, in ``unit``.
    limit : float [-]
        Limit, in ``unit``.
    unit : str [-]
        Unit of value and limit.
    sense : str [-]
        ``>=`` if the value must not fall below the limit, ``<=`` if it must not exceed it.
    source : str [-]
        Where the limit comes from.
    note : str [-]
        What the condition means or when it matters.
    """

    @property
    def ok(self) -> bool:
        """True when the condition holds (a value that is not a number never holds)."""
        return bool(self.value >= self.limit if self.sense == ">=" else self.value <= self.limit)


@record("low likely high unit basis")
class Estimate:
    """A quantity guessed from geometry, with its range; shown as "estimated" wherever it appears.

    Attributes
    ----------
    low : float or (...) array [-]
        Low end of the range, in ``unit``.
    likely : float or (...) array [-]
        Value that is used.
    high : float or (...) array [-]
        High end of the range.
    unit : str [-]
        Unit.
    basis : str [-]
        Rule behind the estimate; "given" if the design file states the value.
    """

    @property
    def estimated(self) -> bool:
        """True unless the design file gave the value."""
        return self.basis != "given"


def estimates(where):
    """Uncertain numbers of one model, rows of ``data/estimates.csv``.

    Parameters
    ----------
    where : str [-]
        What the column of that name says.

    Returns
    -------
    dict of str to Estimate [-]
        By name; their order is that of the file.
    """
    return {own["name"]: Estimate(*(float(own[end]) for end in ("low", "likely", "high")), own["unit"], own["basis"])
            for own in rows("estimates") if own["where"] == where}


@record("value unit label", edge="", estimated=False)
class Quantity:
    """One computed number on its way to a reader.

    Attributes
    ----------
    value : float [-]
        Value in ``unit``.
    unit : str [-]
        SI unit; ``1`` for a pure number.
    label : str [-]
        What it is, in words.
    edge : str [-]
        Customary unit in which tables print it; empty to print the SI unit.
    estimated : bool [-]
        True if it rests on a mass or size that was guessed from geometry.
    """

def some(batch, rows):
    """Some of the cases of a frozen batch of arrays whose first axis counts them.

    Parameters
    ----------
    batch : dataclass [-]
        All its fields are arrays; one of length 1 is shared by all cases and stays so.
    rows : (n,) int or bool array, or slice [-]
        Which cases.

    Returns
    -------
    dataclass [-]
        Of the same class.
    """
    return type(batch)(**{name: v if len(v) == 1 else v[rows] for name, v in vars(batch).items()})


def column(value, extra):
    """Give a parameter trailing axes of length one, so that it broadcasts against (..., K, A) or (..., A).

    Parameters
    ----------
    value : float or (...) array [-]
        Parameter of one machine or of a batch, in any unit.
    extra : int [1]
        How many axes to add; a plain number stays a plain number.

    Returns
    -------
    array [-]
        The same values with ``extra`` axes more.

    Examples
    --------
    >>> column(np.array([1.0, 2.0]), 2).shape
    (2, 1, 1)
    """
    return value if np.ndim(value) == 0 else np.reshape(value, np.shape(value) + (1,) * extra)
