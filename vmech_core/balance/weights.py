"""Counterweights as bodies: where they may stand, how large they get, and what they cost teeth and bearings.

Each rotor of the straight-line drive has two planes, one at either end: the carriers turn at +omega, the crank at
-omega. A body is a sector of a ring about the axis of its rotor, opposite the crank's axis or its pins.
"""

from collections import namedtuple
from dataclasses import replace

import numpy as np

from vmech_core.balance.shaking import end_webs, of_straight, rotating
from vmech_core.base import peak, row
from vmech_core.machine import ends, hypocycloid

#: Free space about a counterweight [m], and rim of the ring gear in modules; own rules for small machines, no source.
CLEAR, RIM = 1e-3, 3.5
#: Half angles that a sector may have.
HALF_ANGLES = np.radians(np.arange(5.0, 91.0))
#: One kind of place for counterweights, at both ends: rotor (1 carriers, -1 crank), words, distance of its middle from
#: the middle of the machine, thickness, circle about the crank's axis that it must clear, inner and outer radius [m].
Room = namedtuple("Room", "rotor words place thickness sweep inner outer")
#: A body: its room, its place along the axis [m], its sector, the angle of its middle at shaft angle 0 [rad].
Body = namedtuple("Body", "room place sector angle")
#: What ``fit`` found: its bodies, the unbalance left, by rotor the moment wanted at each end (first room) [kg m],
#: the share of it that is cancelled and the room outside of each ring gear that would take the rest [m], the drive.
Weights = namedtuple("Weights", "bodies left wanted cancelled outside drive")


class Sector(namedtuple("Sector", "inner outer half_angle thickness density")):
    """A sector of a ring of even thickness.

    Attributes
    ----------
    inner : float [m]
        Inner radius.
    outer : float [m]
        Outer radius.
    half_angle : float [rad]
        Half of its angle.
    thickness : float [m]
        Along the axis.
    density : float [kg/m3]
        Of its material.
    """

    @property
    def mass(self):
        """Mass [kg]."""
        return self.density * self.thickness * self.half_angle * (self.outer**2 - self.inner**2)

    @property
    def moment(self):
        """Mass times distance of its centre of gravity from the axis [kg m]."""
        cubes = self.outer**3 - self.inner**3
        return self.density * self.thickness * np.sin(self.half_angle) * cubes * 2.0 / 3.0

    @property
    def inertia(self):
        """Moment of inertia about that axis [kg m2]."""
        return self.density * self.thickness * 0.5 * self.half_angle * (self.outer**4 - self.inner**4)


def rooms(case, outside=None):
    """Where counterweights may stand without a larger machine, those nearest to the middle first.

    The crank: its end webs, within what they sweep anyhow. The carriers: beside the end webs (enclosing ones) or in the
    plane of the journals; inside the ring gears, opposite the pinions. Both: outside of the ring gears, as far as the
    design allows, crank and carrier there as at the end webs; a stub shaft leaves the crank no place there.

    Parameters
    ----------
    case : Case [-]
        The case.
    outside : float or None [m]
        Thickness outside of each ring gear; None is that of the design.

    Yields
    ------
    Room [-]
        A place with room; the outer radius is that of the ring gear or of the big ends' sweep, unless the design states
        one; guides and bores limit it where they reach into the same plane.

    Valid: schematic webs and guides; own rules, no source.
    Source: the design file.
    """
    d, pair, radius, (low, high, *_) = case.design, case.design.pair, 0.25 * case.drive.stroke, end_webs(case)
    crank, own, guide, face = d.crank.si, d.counterweights.si, d.guide.si, d.gear_pair.si.face_width
    top, pinion = 2.0 * radius + 0.75 * crank.pin_diameter, 0.5 * (crank.mesh_span - face)
    far, around = low - 0.5 * crank.pin_length, _around(case)
    limits = [(far + 0.5 * guide.rod_diameter, top)] * (guide.place == "above_crank")
    limits += [(far + 0.5 * d.cylinders.si.bore, guide.rod_length - guide.piston_length - 2.0 * radius)]
    inside, journal = d.journals_outward < 0.0, crank.journal_length
    swept, beyond = radius + 0.7 * crank.pin_diameter, pinion + face + journal * (not inside)
    end = beyond + (own.outside if outside is None else outside)
    reach = min(swept, around - radius)
    found = [
        (-1, "end web of the crank", low, high, 0.0, 0.5 * crank.journal_diameter, reach),
        (-1, "crank, outside of its pinion", beyond, end * inside, 0.0, 0.0, reach),
        (1, "carrier, beside the end web", low, high * inside, swept, 0.0, around),
        (1, "carrier, in the plane of the journal", pinion + face, beyond * (not inside), 0.0, 0.0, around),
        (1, "carrier, inside the ring gear", pinion, pinion + face, pair.pinion_tip_radius, 0.0, pair.ring_tip_radius),
        (1, "carrier, outside of the ring gear", beyond, end, swept * inside, 0.0, around)]
    for rotor, words, low, high, sweep, inner, outer in found:
        outer = float(min([outer, *(stop for near, stop in limits if low < near)])) - CLEAR
        least = max(inner, sweep + CLEAR - radius if sweep else 0.0)
        if high - low > 2.0 * CLEAR and outer > least:
            sweep = float(sweep) + CLEAR * (sweep > 0.0)
            yield Room(rotor, words, 0.5 * (low + high), high - low - CLEAR, sweep, inner, outer)


def _around(case):
    """How far out counterweights of the carriers may reach [m]."""
    pair, own = case.design.pair, case.design.counterweights.si.outer_radius
    sweep = 0.5 * case.drive.stroke + 0.75 * case.design.crank.si.pin_diameter
    return max(float(pair.ring_root_radius + RIM * pair.module), sweep) if isinstance(own, str) else own


def _sector(room, wanted, density, radius):
    """The slimmest sector at full thickness that gives a moment, trimmed in thickness; the largest, if none does."""
    across = np.maximum(room.sweep**2 - (radius * np.sin(HALF_ANGLES)) ** 2, 0.0)
    inner = np.maximum(room.inner, (np.sqrt(across) - radius * np.cos(HALF_ANGLES)) * (room.sweep > 0.0))
    most = Sector(inner, np.maximum(room.outer, inner), HALF_ANGLES, room.thickness, density).moment
    at = int(np.argmax(most >= min(wanted, most.max())))
    return Sector(inner[at], room.outer, HALF_ANGLES[at], room.thickness * min(1.0, wanted / most[at]), density)


def fit(case, carriers=1.0, crank=1.0):
    """Counterweights that cancel the asked share of both rotors, force and couple, as far as there is room.

    The crank comes first, as the mass of its counterweights travels with the carriers. Both ends of a place take the
    same share of what they should, so that what does not fit leaves no couple of its own.

    Parameters
    ----------
    case : Case [-]
        The case.
    carriers : float [1]
        Share of what travels with the carriers that shall be cancelled.
    crank : float [1]
        Share of the crank's own moments and of the rods' part that turns with it.

    Returns
    -------
    Weights [-]
        Where ``cancelled`` falls short of the share, it does not fit; the drive has the masses and moments for loads.

    Valid: schematic shapes; likely masses, steel shafts.
    Source: two planes on each rotor; checked by random layouts in tests/balance.
    """
    radius, places = 0.25 * case.drive.stroke, list(rooms(case))
    density = float(row("materials", "material", case.design.counterweights.material)["density_kg_m3"])
    left, bodies, asked, cancelled, outside = of_straight(case, bare=True), [], {}, {}, {}
    more = {room.rotor: room for room in rooms(case, 1.0) if "outside" in room.words}
    for rotor, share in ((-1, crank), (1, carriers)):
        start, rest = left, share
        asked[rotor] = cancelled[rotor] = outside[rotor] = 0.0
        for room in (own for own in places if own.rotor == rotor):
            planes = np.array([-room.place, room.place])
            wanted = rest * start.in_planes(rotor, planes)
            size = np.abs(wanted)
            asked[rotor] = asked[rotor] or size.max()
            if size.max() < 1e-12:
                continue
            part = min(1.0, *(_sector(room, w, density, radius).moment / w for w in size if w > 1e-12))
            sectors = [_sector(room, part * w, density, radius) for w in size]
            bodies += map(Body, (room, room), planes, sectors, np.angle(wanted))
            left = left + rotating(part * wanted, planes, rotor)
            left = left + rotating(radius * (rotor < 0) * np.array([s.mass for s in sectors]), planes)
            rest *= 1.0 - part
        cancelled[rotor] = share - rest
        if rest > 1e-12 and rotor in more:
            begin, most = more[rotor].place - 0.5, _sector(more[rotor], np.inf, density, radius).moment
            outside[rotor] = rest * np.abs(start.in_planes(rotor, [-begin, begin])).max() / most
    drive, rods = case.drive, radius * case.drive.reciprocating_mass
    mass = drive.crank_mass - end_webs(case)[2] + sum(b.sector.mass for b in bodies if b.room.rotor < 0)
    own = left.only(-1).moment.sum() - np.sum(rods * np.exp(2j * drive.bank_angle))
    carrier = left.only(1).moment.sum().real - rods.sum() - radius * mass
    return Weights(bodies, left, asked, cancelled, outside,
                   replace(drive, crank_mass=mass, crank_moment=own, carrier_moment=carrier))


def peaks(case, drive, size=peak):
    """What the more loaded end carries, rigid and with guides idle, for a drive with other counterweights.

    Parameters
    ----------
    case : Case [-]
        The case, with its gas forces.
    drive : HypocycloidDrive [-]
        Its drive, or a batch, from ``fit`` or ``shares``.
    size : callable [-]
        ``base.peak``, or ``base.rms``.

    Returns
    -------
    dict of str to float or (B,) array [N]
        Channels mesh_end, crank_bearing_end, main_end.

    Valid: as ``machine.ends.end_loads``.
    Source: ``machine.hypocycloid`` and ``machine.ends``.
    """
    loads = ends.end_loads(case.axis, drive, hypocycloid.rigid_loads(drive, case.angle, case.loads["gas"]))
    return {name: size(loads[name]).max(axis=-1) for name in ("mesh_end", "crank_bearing_end", "main_end")}


def shares(case, crank, carriers):
    """Drives with shares of full counterweights, whether or not these would fit: for the price of balance.

    Parameters
    ----------
    case : Case [-]
        The case.
    crank : float or (B,) array [1]
        Share of the rods' part on the crank that is cancelled; its bodies are as heavy for their moment as sectors
        of 120 degrees between the journal and what the webs sweep.
    carriers : float or (B,) array [1]
        Share of what travels with the carriers.

    Returns
    -------
    HypocycloidDrive [-]
        A batch.

    Valid: force balance; counterweights for couples alone are left out.
    Source: as ``fit``.
    """
    drive, own, radius = case.drive, case.design.crank.si, 0.25 * case.drive.stroke
    body = Sector(0.5 * own.journal_diameter, radius + 0.7 * own.pin_diameter, np.pi / 3.0, 1.0, 1.0)
    moment = -np.asarray(crank) * radius * np.sum(drive.reciprocating_mass * np.exp(2j * drive.bank_angle))
    mass = drive.crank_mass + np.abs(moment) * body.mass / body.moment
    return replace(drive, crank_moment=moment, crank_mass=mass,
                   carrier_moment=-np.asarray(carriers) * radius * (drive.reciprocating_mass.sum() + mass))
