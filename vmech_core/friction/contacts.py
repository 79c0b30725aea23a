"""What rubs, and what it costs: the power of every contact of a machine over the cycle, and its force or couple.

Both machines get the same pressure trace, oil, roughness, bearing kinds and rules for sizes (``bearings``). Each
uncertain number stands in ``ASSUMPTIONS`` with a range and a basis; a study gives S samples for any of them.
"""

from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np

from vmech_core.base.errors import InputError
from vmech_core.base.results import Loads
from vmech_core.bearings import films, journal, oils, pads, rollers, seats, surfaces
from vmech_core.friction import accessories, layshaft, rings
from vmech_core.friction.assumptions import ASSUMPTIONS
from vmech_core.gears import loss
from vmech_core.machine import hypocycloid, scotch_yoke, slider_crank

#: What skirts have of their own: factors on play and roughness, and the warmth of their oil.
SKIRT = "skirt_play", "skirt_marks", "skirt_oil"
#: Machines beside the two: the ordinary crank with a crosshead, the scotch yoke.
CROSSHEAD, YOKE = "crosshead", "yoke"
#: Length of a sliding block over the pin in it: own layout.
BLOCK = 1.5
#: Mean roughness Ra of ground tooth flanks [m]; ``data/roughness.csv``, common practice, no source.
FLANK_RA = 0.4e-6


@dataclass(frozen=True)
class Friction:
    """Friction of one machine.

    Attributes
    ----------
    machine : str [-]
        Id of the machine, as in ``MACHINES``, or ``CROSSHEAD``.
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
        float or (S,) array [W]
            Never negative; a plain number where there is one sample.

        Valid: as the powers.
        Source: none needed.
        """
        found = self.means["total" if contact is None else contact]
        return float(found[0]) if len(found) == 1 else found

    @property
    def means(self) -> dict:
        """Mean power by contact, and ``total``, each (S,) [W]."""
        each = {name: power.mean(axis=-1) for name, power in self.power.items()}
        return {**each, "total": sum(each.values())}


class _Rubbing(NamedTuple):
    """What rubs in one machine as the design has it: loads, piston speeds (K, A), round bearings, sliding parts."""

    machine: str
    loads: Loads
    velocity: np.ndarray
    seats: list
    slides: str
    pads: pads.Pads


def of_straight(case, values=None, kept=None):
    """Friction of the straight-line drive.

    Parameters
    ----------
    case : Case [-]
        The design: loads shared with films.
    values : dict of str to float or (S,) array or None [-]
        Values of ``ASSUMPTIONS``; one that is missing is likely.
    kept : Friction or None [-]
        Earlier result with as many samples, whose films of plain bearings are kept: for a change of what films do not
        feel, as friction of rings, teeth and rollers.

    Returns
    -------
    Friction [-]
        By contact.

    Raises
    ------
    InputError
        If the machine runs dry, or if there is no such assumption.

    Valid: as the models of each contact; loads are those without friction, which moves them by a few per cent. Pistons
        touch their bores dry.
    Source: ``bearings``, ``rings``, ``accessories``, ``gears.loss``.
    """
    loads = case.few
    velocity = hypocycloid.motion(case.drive, loads.angle[:-1]).velocity
    guides = films.sliders("guide", case.design, case.drive, loads)
    rubbing = _Rubbing(seats.STRAIGHT, loads, velocity, case.straight_seats, "guides", guides)
    return _friction(case, rubbing, values, kept)


def of_ordinary(case, values=None, kept=None):
    """Friction of the ordinary crank; nothing of the straight-line drive is computed.

    Parameters
    ----------
    case : Case [-]
        The design.
    values, kept : object [-]
        As in ``of_straight``.

    Returns
    -------
    Friction [-]
        By contact.

    Raises
    ------
    InputError
        If the machine runs dry, or if there is no such assumption.

    Valid: as ``of_straight``.
    Source: as ``of_straight``.
    """
    loads = case.few_ordinary
    velocity = slider_crank.motion(case.ordinary, loads.angle[:-1]).velocity
    skirts = films.sliders("skirt", case.design, case.ordinary, loads)
    rubbing = _Rubbing(seats.ORDINARY, loads, velocity, case.ordinary_seats, "skirts", skirts)
    return _friction(case, rubbing, values, kept)


def of_crosshead(case, values=None):
    """Friction of an ordinary crank whose side thrust lands on crosshead guides.

    Parameters
    ----------
    case : Case [-]
        The design.
    values : dict of str to float or (S,) array or None [-]
        As in ``of_straight``.

    Returns
    -------
    Friction [-]
        By contact; ``guides`` in place of skirts.

    Raises
    ------
    InputError
        If the machine runs dry, or if there is no such assumption.

    Valid: guides of the size of the straight-line drive's, whose motion is taken as a sinusoid; a crank without
        offset whose rods share one pin, so that both motions keep time.
    Source: as ``of_straight``.
    """
    design, drive, loads = case.design, case.crosshead, case.few_crosshead
    velocity = slider_crank.motion(drive, loads.angle[:-1]).velocity
    guides = films.sliders("guide", design, case.drive, loads)
    rubbing = _Rubbing(CROSSHEAD, loads, velocity, seats.ordinary(design, drive, loads), "guides", guides)
    return _friction(case, rubbing, values, None)


def of_yoke(case, values=None):
    """Friction of a scotch yoke: a block turns on the crankpin and slides in the slot, two guides hold each yoke.

    Parameters
    ----------
    case : Case [-]
        The design.
    values : dict of str to float or (S,) array or None [-]
        As in ``of_straight``.

    Returns
    -------
    Friction [-]
        By contact; its forces and couples are not complete, its powers are.

    Raises
    ------
    InputError
        If the machine runs dry, or if there is no such assumption.

    Valid: one block of 1.5 pin diameters on the pin of the straight-line drive for each yoke; guides of the size of
        that drive's above and below the crank, pressed by the couple over their distance. Blocks do not turn, so the
        pin in them has a steady film.
    Source: as ``of_straight``; ``scotch_yoke.rigid_loads``.
    """
    design, loads = case.design, films.thinned(case.yoke_loads)
    drive = scotch_yoke.from_design(design, case.mass)
    velocity = scotch_yoke.motion(drive, loads.angle[:-1]).velocity
    guides, crank, own = films.sliders("guide", design, case.drive, case.few), design.crank.si, design.cylinders.si
    span = own.stroke + 2.0 * crank.pin_diameter + design.guide.si.length
    press = loads["guide_couple"][:, :-1] / span
    held = {name: np.concatenate([v, v]) for name, v in vars(guides).items()}
    held = replace(guides, **held | {"load": np.concatenate([press, -press]), "speed": np.tile(velocity, (2, 1))})
    across = scotch_yoke.across(drive, loads.angle[:-1])
    ones = np.ones(len(velocity))
    blocks = replace(guides, load=loads["rod"][:, :-1], speed=across, arc=0.0 * ones,
                     length=BLOCK * crank.pin_diameter * ones, width=crank.pin_length * ones,
                     clearance=0.5 * design.bearings.si.crankpin_clearance * ones)
    rubbing = _Rubbing(YOKE, loads, velocity, seats.yoke(design, drive, loads), "guides", held)
    total = _Sum(case, rubbing, values or {})
    _bearings(total, None)
    piston = _slides(total).reshape(total.count, 2, *velocity.shape).sum(axis=1) + _rings(total)
    total.rubbing = rubbing._replace(slides="blocks in their slots", pads=blocks)
    _slides(total)
    _accessories(total, case.displacement)
    return Friction(YOKE, total.power, piston, total.couples, total.play)


def of_both(case, values=None, kept=(None, None)):
    """Friction of both machines under the same assumptions.

    Parameters
    ----------
    case : Case [-]
        The design.
    values : dict of str to float or (S,) array or None [-]
        As in ``of_straight``.
    kept : tuple of two Friction or None [-]
        As in ``of_straight``.

    Returns
    -------
    straight, ordinary : Friction [-]
        Straight-line drive; ordinary crank.

    Raises
    ------
    InputError
        If the machine runs dry, or if there is no such assumption.

    Valid: as ``of_straight``.
    Source: as ``of_straight``.
    """
    return of_straight(case, values, kept[0]), of_ordinary(case, values, kept[1])


def _friction(case, rubbing, values, kept):
    """All contacts of one machine."""
    total = _Sum(case, rubbing, values or {})
    warm = _bearings(total, kept)
    straight = rubbing.machine == seats.STRAIGHT
    piston = _slides(total) + (_bores(total) if straight else 0.0) + _rings(total)
    if straight:
        _teeth(total)
        _layshaft(total)
    _accessories(total, case.displacement)
    return Friction(rubbing.machine, total.power, piston, total.couples, total.play, warm)


class _Sum:
    """Powers and couples of one machine, summed up contact by contact; S samples of the assumptions at once."""

    def __init__(self, case, rubbing, values):
        self.design, self.rubbing, self.velocity = case.design, rubbing, rubbing.velocity
        for name in values.keys() - ASSUMPTIONS.keys():
            raise InputError("assumption", name, f"not one of {', '.join(ASSUMPTIONS)}")
        given = {name: values.get(name, estimate.likely) for name, estimate in ASSUMPTIONS.items()}
        each = np.broadcast_arrays(*(np.atleast_1d(np.asarray(value, dtype=float)) for value in given.values()))
        self.v, self.count = dict(zip(given, each, strict=True)), len(each[0])
        self.oil, self.speed = oils.oil(case.design.lubricant.grade), case.drive.speed
        self.inlet = case.design.lubricant.si.temperature + self.v["inlet"]
        cycle = (self.count, self.velocity.shape[1])
        self.power, self.leak, self.play = {}, np.zeros(self.count), np.zeros(cycle)
        self.couples = {**{name: np.zeros(cycle) for name in ("crank", "carrier", "shaft")},
                        "rod": np.zeros((self.count, *self.velocity.shape))}

    def viscosity(self, temperature, factor):
        """Dynamic viscosity in any shape; the factor is that of the grade."""
        return factor * oils.viscosity(self.oil, np.ravel(temperature)).reshape(np.shape(temperature))

    def batch(self, parts):
        """Assumptions and parts as one batch: the same parts for every sample, one sample after the other."""
        n = len(parts.load)
        many = {name: np.tile(v, (self.count, 1)) if np.ndim(v) == 2 else np.tile(np.broadcast_to(v, n), self.count)
                for name, v in vars(parts).items()}
        return {name: np.repeat(values, n) for name, values in self.v.items()}, replace(parts, **many)

    def rolling(self, bearing, load, slip):
        """Torque of a bearing of rollers, (S, A)."""
        nu = self.viscosity(self.inlet, self.v["viscosity"]) / oils.density(self.oil, self.inlet)
        f0, f1 = (own.likely * self.v["rollers"] for own in rollers.FRICTION[rollers.kind_of(bearing)])
        load, slip = np.broadcast_arrays(np.tile(np.abs(load), (self.count, 1)), slip)
        return rollers.friction(bearing, load, slip, nu, f0, f1)[0]

    def add(self, name, power):
        self.power[name] = self.power.get(name, 0.0) + np.broadcast_to(power, self.play.shape)

    def turn(self, seat, on_journal, on_sleeve):
        """Couples of one seat on the bodies of its journal and its sleeve."""
        for body, couple in zip(seat.bodies, (on_journal, on_sleeve), strict=True):
            if body == "rod":
                rods = np.zeros((self.count, *self.velocity.shape))
                rods[:, seat.index] = couple
                self.couples[body] = self.couples[body] + rods
            elif body in self.couples:
                self.couples[body] = self.couples[body] + couple

    def at_shaft(self, power):
        self.couples["shaft"] = self.couples["shaft"] - (power / self.speed)[:, None]


def _plain(total, found, kept):
    """Plain bearings; their films, computed or kept."""
    if not found:
        return None
    v, one = total.batch(films.journals(found, total.design))
    batch = replace(one, clearance=one.clearance * v["clearance"], roughness=one.roughness * v["roughness"],
                    viscosity=np.ones(len(one.load)),
                    asperity=one.asperity * v["peaks"] * np.sqrt(v["roughness"] / v["clearance"]))
    with films.followed(total.design, [seat.kin for seat in found]):
        warm = kept.warm if kept else journal.settle(
            batch, lambda t: total.viscosity(t, v["viscosity"]), np.repeat(total.inlet, len(found)),
            total.design.lubricant.si.supply_pressure, v["heat_share"], sheared=v["sheared"] * v["plain"])
    _share_out(total, found, warm, v)
    return warm


def _share_out(total, found, warm, v):
    """Shear, touching peaks and work in the play of plain bearings; couples on journals and sleeves."""
    j, o = warm.journals, warm.orbit
    slip = j.journal_speed - j.sleeve_speed
    full = journal.torques(j, o)
    shear, rest = 0.5 * (full[0] - full[1]) * (v["sheared"] * v["plain"])[:, None], 0.5 * (full[0] + full[1])
    touch = journal.carried_by_asperities(j, o)
    shear = shear + v["boundary"][:, None] * touch * 0.5 * j.diameter[:, None] * np.sign(slip)
    e = o.eccentricity
    film_load = j.load - touch * e / np.maximum(np.abs(e), 1e-12)
    play = j.clearance[:, None] * (film_load * np.conj(o.rate)).real
    on_journal, on_sleeve = -(shear + rest), shear - rest
    power = play - on_journal * j.journal_speed - on_sleeve * j.sleeve_speed
    shape = (total.count, len(found), -1)
    for k, seat in enumerate(found):
        total.add(seat.kin, power.reshape(shape)[:, k])
        total.turn(seat, on_journal.reshape(shape)[:, k], on_sleeve.reshape(shape)[:, k])
    total.play = total.play + play.reshape(shape).sum(axis=1)
    total.leak = total.leak + warm.leakage.reshape(total.count, -1).sum(axis=1)


def _bearings(total, kept):
    """All round bearings; films of the plain ones, computed or kept."""
    found = {"rolling": [], "journal": [], "swings": []}
    for seat in total.rubbing.seats:
        found["swings" if seat.kind == "journal" and _swings(seat) else seat.kind].append(seat)
    warm = _plain(total, found["journal"], kept)
    _pins(total, found["swings"])
    _rollers(total, found["rolling"])
    return warm


def _swings(seat):
    """Whether the journal turns to and fro in its sleeve, so that no steady film is drawn in."""
    slip = seat.journal_speed - seat.sleeve_speed
    return slip.min() < 0.0 < slip.max()


def _pins(total, found):
    """Bearings that swing rub between mixed and boundary film: one coefficient for all, on the load of the moment."""
    for seat in found:
        slip = seat.journal_speed - seat.sleeve_speed
        torque = total.v["pins"][:, None] * np.abs(seat.load) * 0.5 * seat.diameter * np.sign(slip)
        total.add(seat.kin, torque * slip)
        total.turn(seat, -torque, torque)


def _rollers(total, found):
    for seat in found:
        made, slip = rollers.estimate(seat.diameter, seat.length), seat.journal_speed - seat.sleeve_speed
        torque = total.rolling(made, seat.load, slip)
        total.add(seat.kin, torque * np.abs(slip))
        total.turn(seat, -np.sign(slip) * torque, np.sign(slip) * torque)


def _slides(total):
    """Guides, or skirts: their force on each piston."""
    v, one = total.batch(total.rubbing.pads)
    skirt = total.rubbing.slides == "skirts"
    play, marks, warmer = (v[name] for name in SKIRT) if skirt else (v["clearance"], v["roughness"], 0.0)
    inlet = np.repeat(total.inlet, len(one.load) // total.count)
    batch = replace(one, viscosity=total.viscosity(inlet + warmer, v["viscosity"]), clearance=one.clearance * play,
                    length=one.length * v["wetted"], crown=one.crown * v["crown"] * v["wetted"] ** 2,
                    roughness=one.roughness * marks, asperity=one.asperity * v["peaks"])
    with films.followed(total.design, [total.rubbing.slides]):
        film = pads.slide(batch)
    shear, power = pads.friction(batch, film, 0.0)
    force = pads.friction(batch, film, v["boundary"][:, None])[0]
    shape, speed = (total.count, -1, total.velocity.shape[1]), np.abs(batch.speed)
    squeeze = (power - shear * speed).reshape(shape).sum(axis=1)
    total.add(total.rubbing.slides, (force * speed).reshape(shape).sum(axis=1) + squeeze)
    total.play = total.play + squeeze
    return force.reshape(shape)


def _bores(total):
    """Pistons on their bores, dry: their force."""
    dry = total.v["boundary"][:, None, None] * np.abs(total.rubbing.loads["bore"][:, :-1])
    total.add("pistons on their bores", (dry * np.abs(total.velocity)).sum(axis=1))
    return dry


def _rings(total):
    """Piston rings: their force on each piston."""
    design, v = total.design, {name: value[:, None, None] for name, value in total.v.items()}
    bore, own = design.cylinders.si.bore, design.surfaces.si
    given = {
        "bore": bore,
        "gas": total.rubbing.loads["gas"][:, :-1] / (0.25 * np.pi * bore**2),
        "speed": total.velocity,
        "viscosity": total.viscosity(total.inlet + total.v["ring_oil"], total.v["viscosity"])[:, None, None],
        "roughness": v["roughness"] * float(surfaces.composite_roughness(own.piston_ra, own.bore_ra)),
        "asperity": v["peaks"] * float(surfaces.asperity_pressure(3.0, films.modulus(films.SLIDER))),
        "boundary": v["boundary"],
    }
    force = 0.0
    for ring in (ring.numbers() for ring in rings.PACK.values()):
        ring = replace(ring, crown=ring.crown * v["ring_crown"], tension=ring.tension * v["ring_tension"],
                       gas=ring.gas * v["ring_gas"])
        force = force + rings.ring_friction(ring, **given)[0]
    total.add("rings", (force * np.abs(total.velocity)).sum(axis=1))
    return force


def _teeth(total):
    pair, gears, force = total.design.pair, total.design.gear_pair.si, total.rubbing.loads["mesh_end"][:, :-1]
    mu, rough = total.viscosity(total.inlet, total.v["viscosity"]), FLANK_RA * total.v["roughness"]
    each = np.broadcast_to(force, (total.count, *force.shape))
    found = loss.friction(pair, gears.face_width, total.speed, each, mu, rough).likely
    lost = loss.loss(pair, total.speed, force, found * total.v["teeth"][:, None, None])
    oil = 2.0 * loss.oil_power(pair, gears.face_width, total.speed, total.oil.density).likely * total.v["tooth_oil"]
    total.add("teeth", lost.power.sum(axis=1))
    total.add("oil in the teeth", oil[:, None])
    total.couples["shaft"] = total.couples["shaft"] + lost.carrier_torque.sum(axis=1)
    total.at_shaft(oil)


def _layshaft(total):
    """Meshes, bearings and lips of the shaft that ties the carriers."""
    if total.design.crank.driving_carriers != "both":
        return
    names = "teeth", "layshaft", "tooth_oil", "lay_lips", "seals"
    power = layshaft.power(total.design, total.rubbing.loads["tie"][:-1], total.speed, total.oil.density,
                           lambda *bearing: total.rolling(*bearing) * bearing[2], {n: total.v[n] for n in names})
    for name, lost in power.items():
        total.add(name, lost)
        total.couples["shaft"] = total.couples["shaft"] - lost / total.speed


def _accessories(total, displacement):
    """Seals, oil pump and valve train, which act at the shaft."""
    design, v, speed = total.design, total.v, total.speed
    swept = accessories.OIL_FLOW.likely * displacement * speed / (2.0 * np.pi)
    pumped = accessories.oil_pump_power(total.leak, design.lubricant.si.supply_pressure, other=swept)
    each = {"seals": accessories.seal_power(design.crank.si.journal_diameter, speed) * v["seals"],
            "oil pump": pumped * v["oil_pump"]}
    if design.design.machine == "engine":  # the design file knows four-stroke engines only
        each["valve train"] = accessories.valve_train_power(displacement, speed) * v["valve_train"]
    for name, power in each.items():
        total.add(name, power[:, None])
        total.at_shaft(power)
