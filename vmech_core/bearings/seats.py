"""Round bearings of a design, of both machines: sizes, what presses them, and how fast each of their members turns.

The load acts on the journal, in axes that do not turn, and both speeds are absolute: with these two, a bearing whose
members both turn needs no special case. Sizes that the design file does not give follow the rules at the head of this
file. Oil films stand in ``films``.
"""

from dataclasses import replace

import numpy as np

from vmech_core.base.results import MACHINES, record
from vmech_core.machine import hypocycloid, masses, scotch_yoke, slider_crank

STRAIGHT, ORDINARY = MACHINES
#: Play of a plain bearing over its diameter, where the file gives none or that of a rolling bearing; that of a wrist
#: pin, which runs tighter. Common practice, no source.
PLAY, WRIST_PLAY = 1e-3, 0.5e-3
#: Wrist-pin bearing over bore: common practice, no source.
WRIST_LENGTH = 0.35
#: A stub shaft runs in two equal bearings; distance between their middles over their length. Own layout.
STUB_SPACING = 2.0


@record("machine contact index place kind diameter length clearance load journal_speed sleeve_speed", orbit=0.0)
class Seat:
    """One round bearing of a machine: what it is, its sizes, and what it feels.

    Attributes
    ----------
    machine : str [-]
        Id of the machine, as in ``MACHINES``.
    contact : Contact [-]
        What the mechanism says of it: part, words, bodies.
    index : int [1]
        Cylinder, or end of the crank, from 0.
    place : str [-]
        ``near`` or ``far`` for the two bearings of a stub shaft, else empty.
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

    @property
    def part(self) -> str:
        """Id of the bearing, which it shares with its like [-]."""
        return self.contact.part

    @property
    def bodies(self) -> tuple[str, str]:
        """Bodies of journal and sleeve [-]."""
        return self.contact.bodies

    @property
    def of_end(self) -> bool:
        """Whether it counts by the ends of the crank, not by cylinders [-]."""
        return "rod" not in self.bodies

    @property
    def kin(self) -> str:
        """Words for it and its like, for readers only [-]."""
        return self.contact.label

    @property
    def name(self) -> str:
        """Words for this one, for readers only [-]."""
        which = f", end {self.index + 1}" if self.of_end else f" {self.index + 1}"
        return f"{self.kin}{which}{', ' + self.place if self.place else ''}"

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
    crank, carrier, bearings = design.crank.si, design.carrier.si, design.bearings
    diameters = {"crankpin": crank.pin_diameter, "crank_in_carrier": crank.journal_diameter,
                 "carrier_in_block": carrier.bearing_diameter}
    made = _Maker(STRAIGHT, hypocycloid, drive, loads.angle[:-1], diameters)
    main = dict(enumerate(loads["main_end"]))
    if carrier.support == "stub_shaft":
        lever = 0.5 * (crank.journal_length + carrier.bearing_length) / (STUB_SPACING * carrier.bearing_length)
        main = {(end, place): share * force for end, force in main.items()
                for place, share in (("near", 1.0 + lever), ("far", -lever))}
    play = bearings.si
    return [
        *made.seats("crankpin", bearings.crankpin, crank.pin_length, play.crankpin_clearance, -loads["pin"]),
        *made.seats("crank_in_carrier", bearings.crank_in_carrier, crank.journal_length, play.crank_clearance,
                    loads["crank_bearing_end"], orbit=0.25 * float(drive.stroke)),
        *made.seats("carrier_in_block", bearings.carrier_in_block, carrier.bearing_length, play.carrier_clearance,
                    main),
    ]


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
    crank, bearings, bore = design.crank.si, design.bearings, design.cylinders.si.bore
    wrist = masses.WRIST_PIN_OVER_BORE * bore
    diameters = {"crankpin": crank.pin_diameter, "wrist_pin": wrist, "main_bearing": crank.journal_diameter}
    made = _Maker(ORDINARY, slider_crank, drive, loads.angle[:-1], diameters)
    wrists = loads["wrist"] * np.exp(1j * np.asarray(drive.bank_angle))[:, None]  # given in cylinder axes
    play = bearings.si.crankpin_clearance / crank.pin_diameter
    return [
        *made.seats("crankpin", bearings.crankpin, crank.pin_length, play * crank.pin_diameter, -loads["pin"]),
        *made.seats("wrist_pin", "journal", WRIST_LENGTH * bore, WRIST_PLAY * wrist, -wrists),
        *made.seats("main_bearing", bearings.carrier_in_block, crank.journal_length, play * crank.journal_diameter,
                    _main_ends(design, loads)),
    ]


def yoke(design, drive, loads):
    """Bearings of the scotch yoke: sliding blocks on its crankpins, two main bearings; kinds as in ``ordinary``.

    Parameters
    ----------
    design : Design [-]
        The design.
    drive : ScotchYoke [-]
        Its yoke.
    loads : Loads [-]
        Its plane loads, both ends of the cycle included.

    Returns
    -------
    list of Seat [-]
        Blocks, then main bearings.

    Valid: as ``ordinary``; blocks do not turn.
    Source: as ``ordinary``; ``scotch_yoke.contacts``.
    """
    crank, bearings = design.crank.si, design.bearings
    made = _Maker("yoke", scotch_yoke, drive, loads.angle[:-1],
                  {"slot": crank.pin_diameter, "main_bearing": crank.journal_diameter})
    made.contacts["slot"] = replace(made.contacts["slot"], label="block on crankpin", bodies=("crank", "block"))
    play = bearings.si.crankpin_clearance / crank.pin_diameter
    return [*made.seats("slot", bearings.crankpin, crank.pin_length, play * crank.pin_diameter, -loads["pin"]),
            *made.seats("main_bearing", bearings.carrier_in_block, crank.journal_length, play * crank.journal_diameter,
                        _main_ends(design, loads))]


def _main_ends(design, loads):
    """Load of each main bearing of the ordinary crank, (2, A)."""
    crank, place = design.crank.si, design.cylinders.si.axial_position
    span = 2.0 * np.abs(place).max() + crank.pin_length + 2.0 * masses.WEB * crank.pin_diameter + crank.journal_length
    own = 0.5 * (loads["main"] - loads["pin"].sum(axis=0))
    first = ((0.5 - place / span)[:, None] * loads["pin"]).sum(axis=0) + own
    return np.stack([first, loads["main"] - first])


class _Maker:
    """What all bearings of one machine share."""

    def __init__(self, machine, mechanism, drive, angle, diameters):
        self.contacts = {contact.part: contact for contact in mechanism.contacts(drive, diameters)}
        self.machine, self.diameters, self.speeds = machine, diameters, mechanism.body_speeds(drive, angle)

    def seats(self, part, kind, length, play, loads, orbit=0.0):
        """One seat for each load; keys of a dictionary are the index, or index and place."""
        contact = self.contacts[part]
        for which, load in (loads.items() if isinstance(loads, dict) else enumerate(loads)):
            index, place = which if isinstance(which, tuple) else (which, "")
            turns = (self.speeds[body] for body in contact.bodies)
            journal, sleeve = (turn[index] if turn.ndim == 2 else turn for turn in turns)
            yield Seat(machine=self.machine, contact=contact, index=index, place=place, kind=kind,
                       diameter=self.diameters[part], length=length, clearance=0.5 * play, orbit=orbit,
                       load=np.asarray(load[: len(journal)], dtype=complex), journal_speed=journal, sleeve_speed=sleeve)
