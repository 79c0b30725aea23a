"""How much room a machine takes: the same clearance rules for the straight-line drive and for every ordinary one.

Along a cylinder line parts stand over one another, along the axis beside one another; two such stacks, the sweep of the
crank and the walls around give the outline. ``data/clearances.csv`` holds the rules, each with its source. A machine is
taken as drawn (rod and spans of the design file, rod ratio of its ordinary crank) or as short as the rules permit.
"""

from dataclasses import replace

import numpy as np

from vmech_core import balance
from vmech_core.base import InputError, record, row, rows
from vmech_core.bearings.seats import STUB_SPACING
from vmech_core.friction import layshaft
from vmech_core.machine.masses import WEB

#: Machines that have an outline, to words.
OUTLINED = {"straight": "straight-line drive", "ordinary": "ordinary crank, trunk piston",
            "crosshead": "ordinary crank, crosshead", "yoke": "scotch yoke"}
#: The layshaft stands at least so far from each cylinder line, where it can [rad]. Own layout.
ASIDE = np.radians(45.0)


@record("machine bank stack axis rod bore_low sweep case square rules bore layshaft weights cylinders")
class Outline:
    """Room of one machine: stacks, walls, box.

    Attributes
    ----------
    machine : str [-]
        Id, one of ``OUTLINED``.
    bank : (K,) array [rad]
        Cylinder lines.
    stack : dict of str to float [m]
        What stands over one another from O to the top of the bore, which lies level with the piston at its outer dead
        centre; a rod longer than needed counts, one too short counts below zero.
    axis : dict of str to float [m]
        What stands beside one another from the middle to one end; a span wider than needed likewise.
    rod : float [m]
        Length of the rod: middle of the crankpin to top of the piston, of an ordinary crank to the wrist pin.
    bore_low : float [m]
        Distance of the lower end of the bore from O.
    sweep : float [m]
        How far the crank with its counterweights and the big ends reach from O.
    case : float [m]
        Free radius of the crankcase, or that of the housing of ring gears and carriers, if larger.
    square : float [m]
        Half of the side of the square that a yoke needs; zero for others.
    rules : dict of str to float [m]
        From ``rules``.
    bore : float [m]
        Bore.
    layshaft : tuple of complex and float [m]
        Middle and free radius of its gears; radius zero where there is none.
    weights : tuple of float [m3]
        Volume of the counterweights of the crank, and of those of the carriers.
    cylinders : float [m]
        How far the outermost cylinder reaches along the axis, from the middle.
    """

    @property
    def deck(self) -> float:
        """Distance from the main axis to the top of the bore [m]."""
        return sum(self.stack.values())

    @property
    def spare(self) -> tuple[float, float]:
        """By how much rod and span are longer than the rules ask; below zero: parts collide, or come too near [m]."""
        return self.stack.get("longer rod", 0.0), self.axis.get("wider span", 0.0)

    @property
    def length(self) -> float:
        """Length along the axis [m]."""
        return 2.0 * max(sum(self.axis.values()), self.cylinders)

    def reach(self, way, outside=True):
        """How far the machine reaches from the main axis, seen along it.

        Parameters
        ----------
        way : complex or (...) complex array [1]
            Directions, of length 1.
        outside : bool [-]
            With walls, cylinders and heads; else the free room of the crankcase alone.

        Returns
        -------
        (...) array [m]
            Distance of the farthest point, measured along each direction (support function of the convex hull).

        Valid: as ``outline``.
        Source: as ``outline``.
        """
        turned = np.asarray(way)[..., None] * np.exp(-1j * self.bank)
        along, across, (place, radius) = turned.real, np.abs(turned.imag), self.layshaft
        lay = (np.asarray(way) * np.conj(place)).real + radius
        free = np.maximum((self.square * (np.abs(along) + across)).max(axis=-1), np.maximum(lay, self.case))
        top, half = self.deck + self.rules["head"], 0.5 * self.bore + self.rules["wall"] + self.rules["fin"]
        return np.maximum(free + self.rules["wall"], (top * along + half * across).max(axis=-1)) if outside else free

    @property
    def box(self) -> tuple[float, float, float]:
        """Width, height and length of the box around the machine, upright: the mean of its lines points up [m]."""
        up = upright(self.bank)
        width, height = (float(self.reach(way) + self.reach(-way)) for way in (1j * up, up))
        return width, height, self.length

    @property
    def volume(self) -> float:
        """Volume of that box [m3]."""
        return float(np.prod(self.box))

    @property
    def below(self) -> float:
        """How far the machine reaches below its main axis, when it stands upright [m]."""
        return float(self.reach(-upright(self.bank)))


def upright(bank):
    """Direction that points up when a machine stands upright.

    Parameters
    ----------
    bank : (K,) array [rad]
        Cylinder lines.

    Returns
    -------
    complex [1]
        Mean of the lines; the first of them, if they have none.

    Valid: any lines.
    Source: own choice.
    """
    mean = np.exp(1j * np.asarray(bank)).sum()
    return complex(np.exp(1j * bank[0]) if abs(mean) < 1e-9 else mean / abs(mean))


def rules(case, level="likely"):
    """Rules of room as lengths.

    Parameters
    ----------
    case : Case [-]
        The case.
    level : str [-]
        ``low``, ``likely`` or ``high``: which end of all ranges.

    Returns
    -------
    dict of str to float [m]
        By rule; those that multiply the diameter of a bearing stay factors.

    Valid: sizes of the machines of the course.
    Source: ``data/clearances.csv``.
    """
    own, crank = case.design.cylinders.si, case.design.crank.si
    sizes = {"mean": 0.5 * (own.bore + own.stroke), "bore": own.bore, "pin": crank.pin_diameter, "seat": 1.0,
             "module": case.design.gear_pair.si.module, "rod": case.design.guide.si.rod_diameter}
    found = {rule["rule"]: float(rule[level]) * sizes[rule["times"]] for rule in rows("clearances")}
    return {**found, "web": crank.web or WEB * crank.pin_diameter,
            "fin": found["fin"] * (case.design.design.machine != "pump")}


def outline(case, machine="straight", tight=False, level="likely"):
    """Room of a machine with the bore, stroke, banks, pins, journals and kinds of bearings of a case.

    Parameters
    ----------
    case : Case [-]
        The case.
    machine : str [-]
        One of ``OUTLINED``.
    tight : bool [-]
        As short as the rules permit, in place of as drawn.
    level : str [-]
        As in ``rules``.

    Returns
    -------
    Outline [-]
        Its stacks, walls and box.

    Raises
    ------
    InputError
        If there is no such machine.

    Valid: wrist pin on the cylinder line; equal ends; rods of an ordinary common pin stand side by side. Shaft end,
        flywheel, intake, exhaust and sump are left out of both.
    Source: ``data/clearances.csv``; the design file; ``friction.layshaft``. Own layout; checked by sampled motion in
        tests/size/test_outline.py.
    """
    if machine not in OUTLINED:
        raise InputError("machine", machine, f"not one of {', '.join(OUTLINED)}")
    d, r, own, guide = case.design, rules(case, level), case.design.cylinders.si, case.design.guide.si
    sweep, stroke, ordinary = 0.5 * own.stroke + r["eye"], own.stroke, machine in ("ordinary", "crosshead")
    at_pin = machine == "straight" and d.guide.place == "big_end"
    stack = {"sweep of the crank": max(sweep, 0.5 * (stroke + guide.length) * at_pin), "gap": r["gap"]}
    if machine == "ordinary":
        stack |= {"piston": r["skirt"] + r["crown"], "stroke": stroke}
        above, low = 0.5 * stroke + r["crown"], stroke + r["skirt"] + r["crown"] - r["bared"]
    else:
        shoe = {"crosshead": guide.length, "stroke of the crosshead": stroke} if ordinary else {"guide": guide.length}
        stack |= {} if at_pin else {**shoe, "second gap": r["gap"]}
        stack |= {"piston": guide.piston_length, "stroke": stroke}
        low = stroke + guide.piston_length
        above = 0.5 * stroke + (low + 0.5 * guide.length + r["gap"]) * ordinary
    rod = sum(stack.values()) - above
    if ordinary:
        rod = max(rod, _leaning(rod, low, r, own) if machine == "ordinary" else 0.0)
        stack["rod beside the edge of the bore"] = rod + above - sum(stack.values())
    if not tight and machine != "yoke":
        drawn = 0.5 * stroke * d.ordinary_crank.rod_ratio if ordinary else guide.rod_length
        stack["longer rod"], rod = drawn - rod, drawn
    volumes, beside = _weights(case, r, machine, sweep)
    ring = d.pair.ring_root_radius + r["rim"]
    carrier = d.carrier.si.bearing_diameter * (0.5 + r["bush" if d.bearings.carrier_in_block == "journal" else
                                                      "rolling"])
    axis, far = _axis(case, r, machine, tight, beside)
    made = Outline(
        machine=machine, bank=own.bank_angle, stack=stack, axis=axis, rod=rod, bore_low=sum(stack.values()) - low,
        sweep=stack["sweep of the crank"], square=sweep + r["gap"] if machine == "yoke" else 0.0, bore=own.bore,
        case=max([stack["sweep of the crank"] + r["gap"], *((ring, carrier) if machine == "straight" else ())]),
        rules=r, layshaft=(0j, 0.0), weights=volumes,
        cylinders=far + 0.5 * own.bore + r["wall"] + r["fin"])
    return _with_layshaft(made, d, r) if machine == "straight" and d.crank.driving_carriers == "both" else made


def density(case, material="steel"):
    """Density of a material of the table; all of plywood in a model that is turned by hand.

    Parameters
    ----------
    case : Case [-]
        The case.
    material : str [-]
        Row of ``data/materials.csv``.

    Returns
    -------
    float [kg/m3]
        Its density.

    Valid: solid material.
    Source: ``data/materials.csv``.
    """
    material = "birch plywood" if case.design.design.machine == "hand_model" else material
    return float(row("materials", "material", material)["density_kg_m3"])


def _leaning(length, low, r, own):
    """Shortest rod, not below a given length, that clears its bore's lower edge [m]; if none does, 36 strokes more."""
    radius, angle = 0.5 * own.stroke, np.linspace(0.0, np.pi, 121)
    tried = length + np.linspace(0.0, 6.0, 401)[:, None] ** 2 * own.stroke
    sine = radius * np.sin(angle) / tried
    cosine = np.sqrt(1.0 - sine**2)
    wrist = radius * np.cos(angle) + tried * cosine
    under = np.clip(wrist - (tried + radius + r["crown"] - low), 0.0, tried * cosine)  # of the wrist pin, to the edge
    room = (0.5 * own.bore - (under * sine + 0.5 * r["shank"]) / cosine).min(axis=1)
    return float(np.interp(0.0, room, tried[:, 0]))


def _weights(case, r, machine, sweep):
    """Counterweights: volumes of those of the crank and of the carriers [m3], and what they add to each half [m].

    Those of the straight-line drive are the bodies that ``balance.fit`` finds, the rest outside of its rings. Those of
    an ordinary crank are half discs that reach as far as its sweep; pins and half of the webs count with the rods.
    """
    crank, steel, disc = case.design.crank.si, density(case), 0.5 * np.pi * sweep**2
    if machine == "straight":
        found = balance.fit(case)
        volume = [sum(own.sector.mass for own in found.bodies if own.room.rotor == rotor) / steel for rotor in (-1, 1)]
        extra = [found.outside[rotor] for rotor in (-1, 1)]
        return tuple(v + 2.0 * disc * e for v, e in zip(volume, extra, strict=True)), (
            case.design.counterweights.si.outside + max(extra))
    throw, turned = 0.5 * case.design.cylinders.si.stroke, np.exp(1j * np.asarray(case.ordinary.crankpin_angle))
    pins = 0.25 * np.pi * crank.pin_diameter**2 * crank.pin_length * len(turned)
    web = (throw + 2.0 * r["web_reach"]) * 2.0 * r["web_reach"] * r["web"]
    need = abs(case.ordinary.crank_moment) / steel
    thick = (need + throw * abs(turned.mean()) * (pins + web) * bool(need)) / (2.0 / 3.0 * sweep**3)
    return (float(disc * thick), 0.0), max(float(0.5 * thick) - r["web"], 0.0)


def _axis(case, r, machine, tight, weight):
    """Stack from the middle to one end, and the place of the outermost cylinder line [m]."""
    d, crank, carrier = case.design, case.design.crank.si, case.design.carrier.si
    places, pin = d.cylinders.si.axial_position, crank.pin_length
    far, straight = float(np.abs(places).max()), machine == "straight"
    if not straight and d.ordinary_crank.crankpin_layout == "common":
        far = min(far, 0.5 * (len(places) - 1) * pin)
    axis, ending = {"pins": far + 0.5 * pin}, {"gap at the end": r["gap"], "cover": r["wall"]}
    if not straight:
        axis |= {"web": r["web"], "counterweight": weight, "main bearing": crank.journal_length}
        return axis | ending, far
    enclosing, held = d.carrier.support == "enclosing", max(crank.journal_length, carrier.bearing_length)
    axis |= {"web": r["end_web"], "carrier with journal": held * enclosing,
             "pinion and ring gear": d.gear_pair.si.face_width}
    if not tight:
        axis["wider span"] = 0.5 * (crank.mesh_span + d.gear_pair.si.face_width) - sum(axis.values())
    if not enclosing:
        axis |= {"journal in its carrier": crank.journal_length * (d.journals_outward > 0.0),
                 "stub bearings": (1.0 + STUB_SPACING) * carrier.bearing_length}
    axis |= {"counterweight": weight, "gear of the tie": r["tie_gear"] * (crank.driving_carriers == "both")}
    return axis | ending, far


def _with_layshaft(made, design, r):
    """The outline with its layshaft where it makes the box smallest, aside from the cylinder lines."""
    own, ways = layshaft.sizes(design), np.exp(1j * np.radians(np.arange(0.0, 360.0, 15.0)))
    radius = own.radius + design.gear_pair.si.module + r["gap"]
    off = np.abs(np.angle(ways[:, None] * np.exp(-1j * made.bank))).min(axis=1)
    placed = [replace(made, layshaft=((own.carrier_radius + own.radius) * way, radius))
              for way in ways[off >= min(ASIDE, off.max()) - 1e-9]]
    return min(placed, key=lambda one: round(one.volume, 9))
