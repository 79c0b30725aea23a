"""Round bearings of a design, of both machines: sizes, what presses them, and how fast each of their members turns.

The load acts on the journal, in axes that do not turn, and both speeds are absolute: with these two, a bearing whose
members both turn needs no special case. Sizes that the design file does not give follow the rules at the head of this
file. Oil films stand in ``films``.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from vmech_core.machine import hypocycloid, masses, slider_crank

STRAIGHT, ORDINARY = "straight-line drive", "ordinary crank"
#: Play of a plain bearing over its diameter, where the file gives none or that of a rolling bearing; that of a wrist
#: pin, which runs tighter. Common practice, no source.
PLAY, WRIST_PLAY = 1e-3, 0.5e-3
#: Wrist-pin bearing over bore; web of the ordinary crank over its pin. Common practice, no source.
WRIST_LENGTH, WEB = 0.35, 0.35
#: A stub shaft runs in two equal bearings; distance between their middles over their length. Own layout.
STUB_SPACING = 2.0


@dataclass(frozen=True)
class Seat:
    """One round bearing of a machine.

    Attributes
    ----------
    machine : str [-]
        ``STRAIGHT`` or ``ORDINARY``.
    name : str [-]
        Which bearing.
    kind : str [-]
        ``journal`` or ``rolling``.
    diameter : float [m]
        Of the journal.
    length : float [m]
        Of the bearing.
    clearance : float [m]
        Radial.
    load : (A,) complex array [N]
        On the journal, in axes that do not turn; one cycle without the repeated end.
    journal_speed : (A,) array [rad/s]
        Absolute.
    sleeve_speed : (A,) array [rad/s]
        Absolute.
    orbit : float [m]
        Radius on which the whole bearing goes round with the carrier.
    """

    machine: str
    name: str
    kind: str
    diameter: float
    length: float
    clearance: float
    load: np.ndarray
    journal_speed: np.ndarray
    sleeve_speed: np.ndarray
    orbit: float = 0.0

    @property
    def kin(self) -> str:
        """Name that it shares with its like: without its number or end [-]."""
        return self.name.split(",")[0].rstrip(" 0123456789")

    @property
    def rubbing_speed(self) -> float:
        """Greatest speed of the two surfaces against each other [m/s]."""
        return float(0.5 * self.diameter * np.abs(self.journal_speed - self.sleeve_speed).max())

    @property
    def specific_load(self) -> float:
        """Greatest load over diameter and length [Pa]."""
        return float(np.abs(self.load).max() / (self.diameter * self.length))


def straight(design, drive, loads):
    """Bearings of the straight-line drive.

    Parameters
    ----------
    design : Design [-]
        The design.
    drive : HypocycloidDrive [-]
        Its drive.
    loads : Loads [-]
        Plane loads with those of each end, both ends of the cycle included.

    Returns
    -------
    list of Seat [-]
        Crankpins, crank in the two carriers, carriers in the block. A stub shaft has two bearings at each end: the near
        one carries the load of the overhung crank journal and more, the far one pulls the other way.

    Valid: rigid parts; journal, pinion and stub bearing side by side.
    Source: the design file; ``hypocycloid.contacts``; lever rule for the stub shaft.
    """
    crank, carrier, play = design.crank.si, design.carrier.si, design.bearings
    pin, journal, block = hypocycloid.contacts(
        drive, (crank.pin_diameter, crank.journal_diameter, carrier.bearing_diameter)
    )[:3]
    main = {f", end {k + 1}": force for k, force in enumerate(loads["main_end"])}
    if carrier.support == "stub_shaft":
        lever = 0.5 * (crank.journal_length + carrier.bearing_length) / (STUB_SPACING * carrier.bearing_length)
        main = {f"{end}, {place}": share * force for end, force in main.items()
                for place, share in (("near", 1.0 + lever), ("far", -lever))}  # fmt: skip
    ends = {f", end {k + 1}": force for k, force in enumerate(loads["crank_bearing_end"])}
    pins = {f" {k + 1}": -force for k, force in enumerate(loads["pin"])}
    given, made = play.si, _Maker(STRAIGHT, loads.angle[:-1], drive.speed)
    return [
        *made.seats(pin, play.crankpin, crank.pin_diameter, crank.pin_length, given.crankpin_clearance, pins),
        *made.seats(journal, play.crank_in_carrier, crank.journal_diameter, crank.journal_length,
                    given.crank_clearance, ends, orbit=0.25 * float(drive.stroke)),
        *made.seats(block, play.carrier_in_block, carrier.bearing_diameter, carrier.bearing_length,
                    given.carrier_clearance, main),
    ]  # fmt: skip


def ordinary(design, drive, loads):
    """Bearings of the ordinary crank, by the same rules: same pin and journal sizes, same kinds.

    Parameters
    ----------
    design : Design [-]
        The design.
    drive : SliderCrank [-]
        Its ordinary drive.
    loads : Loads [-]
        Its plane loads, both ends of the cycle included.

    Returns
    -------
    list of Seat [-]
        Crankpins, wrist pins (fixed in the piston), two main bearings.

    Valid: two main bearings beside the outermost webs; mass moment of the crank in the middle.
    Source: the design file; ``slider_crank.contacts``; lever rule along the axis.
    """
    crank, play, bore = design.crank.si, design.bearings, design.cylinders.si.bore
    wrist_diameter, angle = masses.WRIST_PIN_OVER_BORE * bore, loads.angle[:-1]
    pin, wrist, main = slider_crank.contacts(drive, (crank.pin_diameter, wrist_diameter, crank.journal_diameter))[:3]
    made = _Maker(ORDINARY, angle, drive.speed, -slider_crank.rod_motion(drive, angle)[1])
    wrists = loads["wrist"] * np.exp(1j * np.asarray(drive.bank_angle))[:, None]  # given in cylinder axes
    pins, wrists = ({f" {k + 1}": -force for k, force in enumerate(forces)} for forces in (loads["pin"], wrists))
    ends = {f", end {k + 1}": force for k, force in enumerate(_main_ends(design, loads))}
    of_pin = play.si.crankpin_clearance / crank.pin_diameter
    return [
        *made.seats(pin, play.crankpin, crank.pin_diameter, crank.pin_length, of_pin * crank.pin_diameter,
                    pins),
        *made.seats(wrist, "journal", wrist_diameter, WRIST_LENGTH * bore, WRIST_PLAY * wrist_diameter,
                    wrists),
        *made.seats(main, play.carrier_in_block, crank.journal_diameter, crank.journal_length,
                    of_pin * crank.journal_diameter, ends),
    ]  # fmt: skip


def _main_ends(design, loads):
    """Load of each main bearing of the ordinary crank, (2, A)."""
    crank, place = design.crank.si, design.cylinders.si.axial_position
    span = 2.0 * np.abs(place).max() + crank.pin_length + 2.0 * WEB * crank.pin_diameter + crank.journal_length
    own = 0.5 * (loads["main"] - loads["pin"].sum(axis=0))
    first = ((0.5 - place / span)[:, None] * loads["pin"]).sum(axis=0) + own
    return np.stack([first, loads["main"] - first])


class _Maker:
    """What all bearings of one machine share."""

    def __init__(self, machine, angle, speed, rods=None):
        self.machine, self.angle, self.speed, self.rods = machine, angle, speed, rods

    def seats(self, contact, kind, diameter, length, play, loads, orbit=0.0):
        """One seat for each load."""
        made = []
        for k, (which, load) in enumerate(loads.items()):
            speeds = [self.rods[k] if np.isnan(turn) else np.full(len(self.angle), turn * self.speed)
                      for turn in contact.turns]  # fmt: skip
            made.append(Seat(self.machine, contact.name + which, kind, diameter, length, 0.5 * play,
                             np.asarray(load[: len(self.angle)], dtype=complex), *speeds, orbit))  # fmt: skip
        return made
