"""What rubs, and what it costs: the power of every contact of a machine over the cycle, and its force or couple.

Both machines get the same pressure trace, oil, roughness, bearing kinds and rules for sizes (``bearings``). Each
uncertain number stands in ``ASSUMPTIONS`` with a range and a basis; a study gives S samples for any of them.
"""

from collections import namedtuple
from dataclasses import replace

import numpy as np

from vmech_core.base import InputError, record
from vmech_core.bearings import films, journal, oils, pads, rollers, seats, surfaces
from vmech_core.friction import accessories, layshaft, rings, together
from vmech_core.friction.assumptions import ASSUMPTIONS
from vmech_core.gears import loss
from vmech_core.machine import scotch_yoke, slider_crank

#: Machines beside the two: the ordinary crank with a crosshead, the scotch yoke.
CROSSHEAD, YOKE = "crosshead", "yoke"
#: Length of a sliding block over the pin in it: own layout.
BLOCK = 1.5
#: Mean roughness Ra of ground tooth flanks [m]; ``data/roughness.csv``, common practice, no source.
FLANK_RA = 0.4e-6


@record("machine power piston couples play", warm=None, slid=None, slots=None)
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
    slid : tuple of Pads and Film [-]
        Guides or skirts and their films, likewise.
    slots : (S, K, A) array or None [N]
        Friction force on each block along its slot, against its sliding; the yoke's alone.
    """

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


#: What rubs in one machine as the design has it: loads, piston speeds (K, A), round bearings, sliding parts.
_Rubbing = namedtuple("_Rubbing", "machine loads velocity seats slides pads")


def of_straight(case, values=None):
    """Friction of the straight-line drive.

    Parameters
    ----------
    case : Case [-]
        The design: loads shared with films.
    values : dict of str to float or (S,) array or None [-]
        Values of ``ASSUMPTIONS``; one that is missing is likely.

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
    return _added([_straight(case, values)])[0]


def of_ordinary(case, values=None):
    """Friction of the ordinary crank; nothing of the straight-line drive is computed.

    Parameters
    ----------
    case : Case [-]
        The design.
    values : object [-]
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
    return _added([_ordinary(case, values)])[0]


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

    Valid: guides of the size of the straight-line drive's.
    Source: as ``of_straight``.
    """
    design, drive, loads = case.design, case.crosshead, case.few_crosshead
    velocity = slider_crank.motion(drive, loads.angle[:-1]).velocity
    guides = replace(films.sliders("guide", design, case.drive, loads), speed=velocity)
    rubbing = _Rubbing(CROSSHEAD, loads, velocity, seats.ordinary(design, drive, loads), "guides", guides)
    return _added([_Sum(case, rubbing, values)])[0]


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
        By contact.

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
                     clearance=0.5 * seats.PLAY * crank.pin_diameter * ones)
    rubbing = _Rubbing(YOKE, loads, velocity, seats.yoke(design, drive, loads), "guides", held)
    total = _Sum(case, rubbing, values)
    slots = _Sum(case, rubbing._replace(slides="blocks in their slots", pads=blocks, seats=[]), values)
    held, slot = together.slid([total, slots])
    _bearings(total, together.settled([total])[0])
    piston = _slides(total, held).reshape(total.count, 2, *velocity.shape).sum(axis=1) + _rings(total)
    along = _slides(slots, slot)
    _accessories(total)
    power = {**total.power, **slots.power}
    return Friction(YOKE, power, piston, total.couples, total.play + slots.play, slots=along)


def of_both(case, values=None):
    """Friction of both machines under the same assumptions.

    Parameters
    ----------
    case : Case [-]
        The design.
    values : dict of str to float or (S,) array or None [-]
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
    return of_straight(case, values), of_ordinary(case, values)


def of_many(jobs, kept=None):
    """Friction of both machines in several cases, whose films are marched in one batch: much sooner than one by one.

    Parameters
    ----------
    jobs : sequence of (2,) tuple [-]
        Case and values, as in ``of_straight``; the same number of angles and the same grade of oil in all.
    kept : list of (2,) tuple of Friction or None [-]
        Earlier result of the same jobs, whose films are kept: for other values of what films do not feel, as boundary
        friction and the factors on rings, teeth and rollers.

    Returns
    -------
    list of (2,) tuple of Friction [-]
        Straight-line drive and ordinary crank of each case.

    Raises
    ------
    InputError
        If a machine runs dry, or if there is no such assumption.

    Valid: as ``of_straight``.
    Source: as ``of_straight``.
    """
    films_of = [(one.warm, one.slid) for pair in kept for one in pair] if kept else None
    found = _added([make(*job) for job in jobs for make in (_straight, _ordinary)], films_of)
    return list(zip(found[::2], found[1::2], strict=True))


def _straight(case, values):
    guides = films.sliders("guide", case.design, case.drive, case.few)
    return _Sum(case, _Rubbing(seats.STRAIGHT, case.few, guides.speed, case.straight_seats, "guides", guides), values)


def _ordinary(case, values):
    loads, skirts = case.few_ordinary, films.sliders("skirt", case.design, case.ordinary, case.few_ordinary)
    return _Sum(case, _Rubbing(seats.ORDINARY, loads, skirts.speed, case.ordinary_seats, "skirts", skirts), values)


def _added(totals, found=None):
    """All contacts of some machines, whose films are marched together; one by one where that fails, to say which."""
    try:
        found = found or list(zip(together.settled(totals), together.slid(totals), strict=True))
    except InputError:
        if len(totals) == 1:
            raise
        return [_added([total])[0] for total in totals]
    return [_friction(total, *both) for total, both in zip(totals, found, strict=True)]


def _friction(total, warm, film):
    """All contacts of one machine with its films."""
    _bearings(total, warm)
    straight = total.rubbing.machine == seats.STRAIGHT
    piston = _slides(total, film) + (_bores(total) if straight else 0.0) + _rings(total)
    if straight:
        _teeth(total)
        _layshaft(total)
    _accessories(total)
    return Friction(total.rubbing.machine, total.power, piston, total.couples, total.play, warm, film)


class _Sum:
    """Powers and couples of one machine, summed up contact by contact; S samples of the assumptions at once."""

    def __init__(self, case, rubbing, values):
        self.design, self.rubbing, self.velocity = case.design, rubbing, rubbing.velocity
        values, self.displacement = values or {}, case.displacement
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

    def found(self, kind):
        """Round bearings of a kind: ``journal``, ``rolling``, or ``swings`` for plain ones that turn to and fro."""
        return [seat for seat in self.rubbing.seats
                if kind == ("swings" if seat.kind == "journal" and _swings(seat) else seat.kind)]

    def v_of(self, parts):
        """Assumptions for every part of every sample: the same parts for each sample, one sample after the other."""
        return {name: np.repeat(values, parts) for name, values in self.v.items()}

    def batch(self, parts):
        """Those assumptions, and the parts as one batch."""
        n = len(parts.load)
        many = {name: np.tile(v, (self.count, 1)) if np.ndim(v) == 2 else np.tile(np.broadcast_to(v, n), self.count)
                for name, v in vars(parts).items()}
        return self.v_of(n), replace(parts, **many)

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


def _share_out(total, found, warm):
    """Shear, touching peaks and work in the play of plain bearings; couples on journals and sleeves."""
    j, o, v = warm.journals, warm.orbit, total.v_of(len(found))
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


def _bearings(total, warm):
    """All round bearings: plain ones with their films, those that swing, rollers."""
    if found := total.found("journal"):
        _share_out(total, found, warm)
    for seat in total.found("swings") + total.found("rolling"):
        slip = seat.journal_speed - seat.sleeve_speed
        if seat.kind == "rolling":
            torque = total.rolling(rollers.estimate(seat.diameter, seat.length), seat.load, slip)
        else:  # between mixed and boundary film: one coefficient for all, on the load of the moment
            torque = total.v["pins"][:, None] * np.abs(seat.load) * 0.5 * seat.diameter
        torque = torque * np.sign(slip)
        total.add(seat.kin, torque * slip)
        total.turn(seat, -torque, torque)


def _swings(seat):
    """Whether the journal turns to and fro in its sleeve, so that no steady film is drawn in."""
    slip = seat.journal_speed - seat.sleeve_speed
    return slip.min() < 0.0 < slip.max()


def _slides(total, slid):
    """Guides, or skirts: their force on each piston."""
    (batch, film), v = slid, total.v_of(len(slid[0].load) // total.count)
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


def _accessories(total):
    """Seals, oil pump and valve train, which act at the shaft."""
    design, v, speed, displacement = total.design, total.v, total.speed, total.displacement
    swept = accessories.OWN["oil_flow"].likely * displacement * speed / (2.0 * np.pi)
    pumped = accessories.oil_pump_power(total.leak, design.lubricant.si.supply_pressure, other=swept)
    each = {"seals": accessories.seal_power(design.crank.si.journal_diameter, speed) * v["seals"],
            "oil pump": pumped * v["oil_pump"]}
    if design.design.machine == "engine":  # the design file knows four-stroke engines only
        each["valve train"] = accessories.valve_train_power(displacement, speed) * v["valve_train"]
    for name, power in each.items():
        total.add(name, power[:, None])
        total.at_shaft(power)
