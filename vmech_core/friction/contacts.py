"""What friction costs: the power of every contact of both machines over the cycle, and the torque left at the shaft.

Both machines get the same pressure trace, oil, roughness, bearing kinds and rules for sizes (``seats``, ``films``).
Each uncertain number stands in ``ASSUMPTIONS`` with a range and a basis; a study gives S samples for any of them.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from vmech_core.base.errors import InputError
from vmech_core.base.results import Estimate
from vmech_core.bearings import films, oils, seats, surfaces
from vmech_core.bearings import journal as bearings
from vmech_core.bearings import pads as sliding
from vmech_core.bearings import rollers as rolling
from vmech_core.friction import common as common_losses
from vmech_core.gears import mesh as mesh_loss
from vmech_core.machine import hypocycloid, slider_crank

OWN, MEMORY = "own judgement", "from memory"
#: Everything that is uncertain and counts for friction; factors multiply the value of the design or of a published law.
ASSUMPTIONS = {
    "viscosity": Estimate(0.85, 1.0, 1.2, "1", "factor: width of a grade, SAE J300 and ISO 3448"),
    "inlet": Estimate(-15.0, 0.0, 15.0, "K", f"oil at the inlet against the design; {OWN}"),
    "clearance": Estimate(0.8, 1.0, 1.3, "1", f"factor on plays of bearings and guides; {OWN}"),
    "sheared": Estimate(0.5, 0.8, 1.0, "1", f"share of a round film that is full of oil; pressed half to all, {OWN}"),
    "heat_share": Estimate(0.5, 0.8, 1.0, "1", f"share of a bearing's loss that its oil takes; {OWN}"),
    "roughness": Estimate(0.5, 1.0, 2.0, "1", f"factor; {OWN}"),
    "peaks": Estimate(0.18, 1.0, 4.9, "1", f"factor on the pressure of touching peaks; Greenwood and Tripp, {MEMORY}"),
    "boundary": surfaces.BOUNDARY_FRICTION,
    "crown": Estimate(0.5, 1.0, 2.0, "1", f"factor on crowns of guides and skirts; {OWN}"),
    "wetted": Estimate(0.4, 0.7, 1.0, "1", f"share of guides and skirts that oil wets; {OWN}"),
    "ring_oil": Estimate(10.0, 30.0, 60.0, "K", f"oil under the rings above the inlet; {OWN}"),
    "ring_crown": Estimate(0.5, 1.0, 2.0, "1", f"factor on the barrel of the rings; {MEMORY}"),
    "ring_tension": Estimate(0.55, 1.0, 1.35, "1", f"factor on their tension; {MEMORY}"),
    "ring_gas": Estimate(0.6, 1.0, 1.6, "1", f"factor on the gas that presses them; {MEMORY}"),
    "teeth": Estimate(0.7, 1.0, 1.4, "1", f"factor on Schlenk's mean friction of teeth; {OWN}"),
    "tooth_oil": Estimate(0.1, 1.0, 15.0, "1", f"factor on the oil that the teeth carry; {OWN}"),
    "rollers": Estimate(0.3, 1.0, 1.5, "1", f"needle rollers, Palmgren; low: cylindrical or oil mist; {MEMORY}"),
    "valve_train": Estimate(0.4, 1.0, 2.0, "1", f"factor on the range of published valve trains; {MEMORY}"),
    "seals": Estimate(0.35, 1.0, 2.1, "1", f"factor on line force and friction of two lips; {MEMORY}"),
    "oil_pump": Estimate(0.5, 1.0, 2.2, "1", f"factor on pump work: efficiency and margin; {MEMORY}"),
}
#: Mean roughness Ra of ground tooth flanks [m]; ``data/roughness.csv``, common practice, no source.
FLANK_RA = 0.4e-6


@dataclass(frozen=True)
class Friction:
    """Friction of one machine.

    Attributes
    ----------
    machine : str [-]
        Id of the machine, as in ``MACHINES``.
    power : dict of str to (S, A) array [W]
        By contact, over the cycle without its repeated end.
    piston : (S, K, A) array [N]
        Friction force on each piston with its rod, against its sliding, never negative.
    couples : dict of str to (S, A) or (S, K, A) array [N m]
        Couple of all friction on ``crank``, on both carriers together (``carrier``), on each rod (``rod``), and what
        counts at the shaft (``shaft``): teeth, seals, oil pump, valve train. Anticlockwise.
    play : (S, A) array [W]
        Work of the loads on the journals as they move in their play.
    warm : Warm or None [-]
        Films of the plain bearings, all samples one after the other; None without any.
    """

    machine: str
    power: dict
    piston: np.ndarray
    couples: dict
    play: np.ndarray
    warm: object = None

    def mean(self, contact=None):
        """Mean power over the cycle.

        Parameters
        ----------
        contact : str or None [-]
            One contact; None for all together.

        Returns
        -------
        (S,) array [W]
            Never negative.

        Valid: as the powers.
        Source: none needed.
        """
        each = self.power.values() if contact is None else [self.power[contact]]
        return sum(values.mean(axis=-1) for values in each)


def likely():
    """The likely value of every assumption.

    Returns
    -------
    dict of str to float [-]
        In the units of ``ASSUMPTIONS``.

    Valid: always.
    Source: ``ASSUMPTIONS``.
    """
    return {name: estimate.likely for name, estimate in ASSUMPTIONS.items()}


def of_both(case, values=None, orbits=None):
    """Friction of both machines of an assessed design.

    Parameters
    ----------
    case : Case [-]
        The design: loads shared with films, same pressure trace.
    values : dict of str to float or (S,) array or None [-]
        Values of ``ASSUMPTIONS``; one that is missing is likely.
    orbits : tuple of two Friction or None [-]
        Earlier result with as many samples, whose films of plain bearings are kept: for a change of what films do not
        feel, as friction of rings, teeth and rollers.

    Returns
    -------
    straight : Friction [-]
        Straight-line drive.
    ordinary : Friction [-]
        Ordinary crank.

    Raises
    ------
    InputError
        If the machine runs dry, or if there is no such assumption.

    Valid: as the models of each contact; loads are those without friction, which moves them by a few per cent.
    Source: ``bearings``, ``sliding``, ``rolling``, ``common_losses``, ``mesh_loss``.
    """
    work, kept = _Work(case, values or {}), (orbits or (None, None))
    return tuple(work.machine(machine, before and before.warm)
                 for machine, before in zip((seats.STRAIGHT, seats.ORDINARY), kept, strict=True))  # fmt: skip


def brake_torque(case, friction):
    """Torque at the shaft from the balance of forces and couples, friction included.

    Friction forces on the pistons go through the statics of the mechanism like gas; couples act on crank, carriers and
    rods; loads do work as journals move in their play.

    Parameters
    ----------
    case : Case [-]
        The design.
    friction : Friction [-]
        Of one machine, with one sample.

    Returns
    -------
    (A,) array [N m]
        Over the cycle, without its repeated end.

    Valid: the loads that friction was found from; no friction of friction.
    Source: Newton and Euler, as in ``hypocycloid.rigid_loads`` and ``slider_crank.rigid_loads``; a couple M_c on the
        crank takes M_c from the carrier's torque, as the crank turns at minus its speed.
    """
    a, speed = case, case.drive.speed
    straight = friction.machine == seats.STRAIGHT
    mechanism, drive = (hypocycloid, a.drive) if straight else (slider_crank, a.ordinary)
    loads = films.thinned(a.shared if straight else a.ordinary_loads, films.ANGLES)
    angle, gas = loads.angle[:-1], loads["gas"][:, :-1]
    way = np.sign(mechanism.motion(drive, angle).velocity)
    torque = mechanism.rigid_loads(drive, angle, gas + way * friction.piston[0])["torque"]
    couple = {name: value[0] for name, value in friction.couples.items()}
    if straight:
        torque = torque - couple["crank"] + couple["carrier"]
    else:
        lean, rate, _ = slider_crank.rod_motion(drive, angle)
        lateral = couple["rod"] / (drive.rod_length * np.cos(lean))  # pair of forces across the cylinder line
        arm = drive.rod_length * np.cos(lean) * rate / speed  # of the one at the pin, about the main axis
        torque = torque + couple["crank"] - (lateral * arm).sum(axis=0)
    return torque + couple["shaft"] - friction.play[0] / speed


class _Work:
    """Everything that the contacts share; S samples at once."""

    def __init__(self, a, values):
        self.a, self.design = a, a.design
        given = {**likely(), **values}
        for name in given.keys() - ASSUMPTIONS.keys():
            raise InputError("assumption", name, f"not one of {', '.join(ASSUMPTIONS)}")
        each = np.broadcast_arrays(*(np.atleast_1d(np.asarray(given[name], dtype=float)) for name in ASSUMPTIONS))
        self.v = dict(zip(ASSUMPTIONS, each, strict=True))
        self.count, self.oil = len(each[0]), oils.oil(a.design.lubricant.grade)
        self.inlet = a.design.lubricant.si.temperature + self.v["inlet"]
        self.own, self.other = (films.thinned(loads, films.ANGLES) for loads in (a.shared, a.ordinary_loads))
        self.angle, self.speed = self.own.angle[:-1], a.drive.speed

    def viscosity(self, temperature, factor):
        """Dynamic viscosity in any shape; the factor is that of the grade."""
        return factor * oils.viscosity(self.oil, np.ravel(temperature)).reshape(np.shape(temperature))

    def machine(self, machine, warm=None):
        self.warm = warm
        straight = machine == seats.STRAIGHT
        loads = films.with_ends(self.design, self.a.drive, self.own) if straight else self.other
        found = (seats.straight(self.design, self.a.drive, loads) if straight
                 else seats.ordinary(self.design, self.a.ordinary, loads))  # fmt: skip
        drive, mechanism = (self.a.drive, hypocycloid) if straight else (self.a.ordinary, slider_crank)
        self.velocity = mechanism.motion(drive, self.angle).velocity
        self.power, self.couples, self.leak = {}, {"crank": 0.0, "carrier": 0.0, "rod": 0.0, "shaft": 0.0}, 0.0
        self.play = np.zeros((self.count, len(self.angle)))
        self._plain([seat for seat in found if seat.kind == "journal"])
        self._rollers([seat for seat in found if seat.kind == "rolling"])
        piston = self._slides(straight, loads) + self._rings(loads)
        if straight:
            self._teeth(loads)
        self._common()
        size = (self.count, *self.velocity.shape)
        couples = {name: np.broadcast_to(value, size if name == "rod" else (self.count, size[-1]))
                   for name, value in self.couples.items()}  # fmt: skip
        return Friction(machine, self.power, piston, couples, self.play, self.warm)

    def add(self, name, power):
        self.power[name] = self.power.get(name, 0.0) + np.broadcast_to(power, (self.count, len(self.angle)))

    def turn(self, seat, on_journal, on_sleeve):
        """Couples of one seat on the bodies of its journal and its sleeve."""
        for body, couple in zip(seat.bodies, (on_journal, on_sleeve), strict=True):
            if body == "rod":
                rods = np.zeros((self.count, *self.velocity.shape))
                rods[:, seat.index] = couple
                self.couples[body] = self.couples[body] + rods
            elif body in self.couples:
                self.couples[body] = self.couples[body] + couple

    def _plain(self, found):
        if not found:
            return
        one, s, n = films.journals(found, self.design), self.count, len(found)
        many = {name: np.repeat(self.v[name], n) for name in self.v}
        tile = {name: np.tile(np.broadcast_to(getattr(one, name), n), s) for name in ("diameter", "length", "period")}
        rough = np.tile(one.roughness, s) * many["roughness"]
        clearance = np.tile(one.clearance, s) * many["clearance"]
        speeds = [np.tile(np.broadcast_to(v, one.load.shape), (s, 1)) for v in (one.journal_speed, one.sleeve_speed)]
        peaks = np.tile(one.asperity, s) * many["peaks"] * np.sqrt(many["roughness"] / many["clearance"])
        batch = bearings.Journals(tile["diameter"], tile["length"], clearance, np.ones(s * n),
                                  np.tile(one.load, (s, 1)), *speeds, tile["period"], rough, peaks)  # fmt: skip
        self.warm = self.warm or bearings.settle(
            batch, lambda t: self.viscosity(t, many["viscosity"]), np.repeat(self.inlet, n),
            self.design.lubricant.si.supply_pressure, many["heat_share"])  # fmt: skip
        self._share_out(found, self.warm, many)

    def _share_out(self, found, warm, many):
        j, o = warm.journals, warm.orbit
        slip = j.journal_speed - j.sleeve_speed
        full = bearings.torques(j, o)
        shear, rest = 0.5 * (full[0] - full[1]) * many["sheared"][:, None], 0.5 * (full[0] + full[1])
        touch = bearings.carried_by_asperities(j, o)
        shear = shear + many["boundary"][:, None] * touch * 0.5 * j.diameter[:, None] * np.sign(slip)
        e = o.eccentricity
        film_load = j.load - touch * e / np.maximum(np.abs(e), 1e-12)
        play = j.clearance[:, None] * (film_load * np.conj(o.rate)).real
        on_journal, on_sleeve = -(shear + rest), shear - rest
        power = play - on_journal * j.journal_speed - on_sleeve * j.sleeve_speed
        shape = (self.count, len(found), -1)
        for k, seat in enumerate(found):
            self.add(seat.kin, power.reshape(shape)[:, k])
            self.turn(seat, on_journal.reshape(shape)[:, k], on_sleeve.reshape(shape)[:, k])
        self.play = self.play + play.reshape(shape).sum(axis=1)
        self.leak = self.leak + warm.leakage.reshape(self.count, -1).sum(axis=1)

    def _rollers(self, found):
        nu = self.viscosity(self.inlet, self.v["viscosity"]) / oils.density(self.oil, self.inlet)
        f0, f1 = (estimate.likely * self.v["rollers"] for estimate in rolling.FRICTION["needle"])
        for seat in found:
            made, slip = rolling.estimate(seat.diameter, seat.length), seat.journal_speed - seat.sleeve_speed
            load = np.broadcast_to(np.abs(seat.load), (self.count, len(seat.load)))
            torque, power = rolling.friction(made, load, np.broadcast_to(slip, load.shape), nu, f0, f1)
            self.add(seat.kin, power)
            self.turn(seat, -np.sign(slip) * torque, np.sign(slip) * torque)

    def _slides(self, straight, loads):
        """Guides, or skirts; pistons of the straight-line drive touch their bores dry."""
        one = (films.sliders("guide", self.design, self.a.drive, self.own) if straight
               else films.sliders("skirt", self.design, self.a.ordinary, self.other))
        s, n = self.count, len(one.load)
        many = {name: np.repeat(self.v[name], n) for name in self.v}
        part = {name: np.tile(getattr(one, name), (s, 1) if np.ndim(getattr(one, name)) == 2 else s)
                for name in vars(one)}  # fmt: skip
        part["viscosity"] = np.repeat(self.viscosity(self.inlet, self.v["viscosity"]), n)
        for name, factor in (("clearance", "clearance"), ("crown", "crown"), ("roughness", "roughness"),
                             ("asperity", "peaks")):  # fmt: skip
            part[name] = part[name] * many[factor]
        pads = sliding.Pads(**part)
        film = sliding.slide(pads)
        shear, power = sliding.friction(pads, film, 0.0)
        peaks = sliding.friction(pads, film, many["boundary"][:, None])[0] - shear
        squeeze = (power - shear * np.abs(pads.speed)).reshape(s, n, -1).sum(axis=1)
        force = (many["wetted"][:, None] * shear + peaks).reshape(s, n, -1)
        self.add("guides" if straight else "skirts", (force * np.abs(self.velocity)).sum(axis=1) + squeeze)
        self.play = self.play + squeeze
        if not straight:
            return force
        dry = self.v["boundary"][:, None, None] * np.abs(loads["bore"][:, :-1])
        self.add("pistons on their bores", (dry * np.abs(self.velocity)).sum(axis=1))
        return force + dry

    def _rings(self, loads):
        design, v = self.design, {name: value[:, None, None] for name, value in self.v.items()}
        bore, own = design.cylinders.si.bore, design.surfaces.si
        pressure = loads["gas"][:, :-1] / (0.25 * np.pi * bore**2)
        mu = self.viscosity(self.inlet + self.v["ring_oil"], self.v["viscosity"])[:, None, None]
        rough = v["roughness"] * float(surfaces.composite_roughness(own.piston_ra, own.bore_ra))
        asperity = v["peaks"] * float(surfaces.asperity_pressure(3.0, films.modulus(films.SLIDER)))
        total = 0.0
        for ring in common_losses.PACK.values():
            r = common_losses.chosen(ring)
            r = common_losses.Ring(r.height, r.crown * v["ring_crown"], r.tension * v["ring_tension"],
                                   r.gas * v["ring_gas"], r.faces)  # fmt: skip
            force, _ = common_losses.ring_friction(r, bore, pressure, self.velocity, mu, rough, asperity, v["boundary"])
            total = total + force
        self.add("rings", (total * np.abs(self.velocity)).sum(axis=1))
        return total

    def _teeth(self, loads):
        pair, gears, force = self.design.pair, self.design.gear_pair.si, loads["mesh_end"][:, :-1]
        mu, rough = self.viscosity(self.inlet, self.v["viscosity"]), FLANK_RA * self.v["roughness"]
        each = np.broadcast_to(force, (self.count, *force.shape))
        found = mesh_loss.friction(pair, gears.face_width, self.speed, each, mu, rough).likely
        lost = mesh_loss.loss(pair, self.speed, force, found * self.v["teeth"][:, None, None])
        oil = 2.0 * mesh_loss.oil_power(pair, gears.face_width, self.speed, self.oil.density).likely
        self.add("teeth", lost.power.sum(axis=1))
        self.add("oil in the teeth", (oil * self.v["tooth_oil"])[:, None])
        self.couples["shaft"] = self.couples["shaft"] + lost.carrier_torque.sum(axis=1)
        self._at_shaft(oil * self.v["tooth_oil"])

    def _common(self):
        design, v = self.design, self.v
        shaft = design.crank.si.journal_diameter
        each = {
            "seals": common_losses.seal_power(shaft, self.speed) * v["seals"],
            "oil pump": common_losses.oil_pump_power(self.leak, design.lubricant.si.supply_pressure) * v["oil_pump"],
        }
        if design.design.machine == "engine":  # the design file knows four-stroke engines only
            volume = self.a.displacement
            each["valve train"] = common_losses.valve_train_power(volume, self.speed) * v["valve_train"]
        for name, power in each.items():
            power = np.broadcast_to(power, (self.count,))
            self.add(name, power[:, None])
            self._at_shaft(power)

    def _at_shaft(self, power):
        self.couples["shaft"] = self.couples["shaft"] - (power / self.speed)[:, None]
