"""Parts of both machines: how many, of what, how heavy, and what on them is ground, meshes or bears.

``data/parts.csv`` lists the parts, the shapes below weigh them inside the walls of the outline. Cost is not computed;
what drives it is counted. Flywheel, intake, exhaust, ignition, fan, tank and the shaft end are left out of both.
"""

from collections import namedtuple

import numpy as np

from vmech_core.base import Estimate, rows
from vmech_core.bearings.seats import WRIST_LENGTH
from vmech_core.friction import layshaft
from vmech_core.machine.masses import WRIST_PIN_OVER_BORE
from vmech_core.size.room import density, outline, rules

#: Shares of a full volume, low, likely and high: ribs, bosses, flanges, feet of a case over its bare walls; fins over a
#: bare barrel, on a pump none; solid part of a head of 1.5 bore diameter; valve gear of a cylinder, and a crosshead,
#: over bore cubed [kg/m3]; bearing over a solid ring; any plain steel body. Common practice, no source.
FILLING = {"case": (1.3, 1.8, 2.5), "barrel": (1.5, 2.0, 2.6), "head": (0.35, 0.5, 0.65), "valves": (1000, 1500, 2200),
           "bearing": (0.7, 0.85, 1.0), "steel": (0.75, 1.0, 1.25), "crosshead": (300, 400, 450)}

#: One kind of part; its fields are what ``part_list`` returns.
Part = namedtuple("Part", "name count mass material grounds fits gears bearings")
#: Totals over all parts of a machine; its fields are what ``totals`` returns.
Totals = namedtuple("Totals", "parts kinds mass grounds fits gears rolling plain")


def part_list(case, machine="straight", tight=False, block=None):
    """Parts of a machine.

    Parameters
    ----------
    case : Case [-]
        The case.
    machine : str or Outline [-]
        ``straight``, ``ordinary`` or ``crosshead``; or its outline, if that is known.
    tight : bool [-]
        As in ``outline``.
    block : str or None [-]
        Material of crankcase and cylinders; None for those of the design.

    Returns
    -------
    list of Part [-]
        ``count`` pieces of ``mass`` (an Estimate in kg, or None if it is weighed with another part) each; surfaces
        ground, plays kept, gears and bearings on all of them.

    Valid: sizes of the machines of the course, a crankpin for each cylinder of the straight-line drive; an order of
        magnitude for what no drawing shows: crankcase, cylinder, head.
    Source: ``data/parts.csv``; ``machine.masses``; volumes of plain shapes with the shares at the head of this file.
    """
    made = outline(case, machine, tight) if isinstance(machine, str) else machine
    d, listed, machine = case.design, [], made.machine
    shape, both = _shapes(case, made), d.crank.driving_carriers == "both"
    pins = d.n_cylinders if machine == "straight" or d.ordinary_crank.crankpin_layout != "common" else 1
    counts = {"machine": 1, "cylinder": d.n_cylinders, "clip": 2 * d.n_cylinders, "end": 2, "tie": int(both),
              "tie end": 2 * both, "valves": d.n_cylinders * (d.design.machine == "engine"),
              "carrier bearing": 4 if d.carrier.support == "stub_shaft" else 2,
              "crank weight": 2 * bool(made.weights[0])}
    for one in rows("parts"):
        count = counts[one["per"]]
        if machine in one["machine"].split() and count:
            ground = count * (int(one["grounds"]) + pins * int(one["grounds_per_pin"]))
            what, mass = _material(case, one, block), None
            if one["mass"]:
                volume, kind = shape.get(one["mass"], (0.0, "steel"))
                solid = volume * density(case, "steel" if "bearing" in what else what)
                mass = case.mass.get(one["mass"]) or Estimate(*(solid * share for share in FILLING[kind]), "kg", what)
                if np.ndim(mass.likely):  # the file has a list: their mean
                    mass = Estimate(*map(np.mean, (mass.low, mass.likely, mass.high)), "kg", mass.basis)
            listed.append(Part(one["part"], count, mass, what, ground,
                               *(count * int(one[name]) for name in ("fits", "gears", "bearings"))))
    return listed


def totals(listed):
    """Add up a list of parts.

    Parameters
    ----------
    listed : list of Part [-]
        From ``part_list``.

    Returns
    -------
    Totals [-]
        Pieces and kinds; mass (an Estimate in kg, all parts light, likely or heavy at once); surfaces ground, plays
        kept, gears, rolling and plain bearings.

    Valid: as ``part_list``.
    Source: sums.
    """
    weighed = [np.array([one.mass.low, one.mass.likely, one.mass.high]) * one.count for one in listed if one.mass]
    mass = Estimate(*map(float, np.sum(weighed, axis=0)), "kg", "sum over all parts")
    sums = [sum(getattr(one, name) for one in listed) for name in ("grounds", "fits", "gears")]
    kinds = [sum(one.bearings for one in listed if one.material == f"{kind} bearing") for kind in ("rolling", "plain")]
    return Totals(sum(one.count for one in listed), len(listed), mass, *sums, *kinds)


def proportions(case):
    """Proportions of the ordinary engine of a case beside published ones.

    Parameters
    ----------
    case : Case [-]
        The case.

    Returns
    -------
    dict of str to tuple [-]
        Name to value, published low and high end, unit and source.

    Valid: ordinary engines, bores of 50 to 150 mm; books speak of larger and faster engines than ours.
    Source: ``data/proportions.csv``.
    """
    r, own, crank, mass = rules(case), case.design.cylinders.si, case.design.crank.si, case.mass
    skirt, area = r["crown"] + r["skirt"] - r["belt"], 0.25 * np.pi * own.bore**2
    found = {"piston height": r["crown"] + r["skirt"], "skirt length": skirt, "wrist pin to top": r["crown"],
             "wrist pin diameter": WRIST_PIN_OVER_BORE * own.bore, "crankpin": crank.pin_diameter,
             "wrist pin above middle of skirt": r["skirt"] - 0.5 * skirt, "web": r["web"],
             "main journal": crank.journal_diameter}
    found = {f"{name} / bore": value / own.bore for name, value in found.items()} | {
        "piston mass / bore area": mass["ordinary_piston"].likely / area,
        "rod mass / bore area": mass["ordinary_rod"].likely / area,
        "crank radius / rod length": 1.0 / case.design.ordinary_crank.rod_ratio}
    return {one["name"]: (float(found[one["name"]]), float(one["low"]), float(one["high"]), one["unit"], one["source"])
            for one in rows("proportions")}


def _material(case, one, block):
    """Material of a row of the table."""
    own, bearings, name, kind = case.design.running_state, case.design.bearings, one["material"], case.design.design
    if name == "bearing":
        kinds = {"crank_bearing": bearings.crank_in_carrier, "pin_bearing": bearings.crankpin, "wrist_bearing": "",
                 "lay_bearing": "rolling"}
        return f"{'rolling' if kinds.get(one['mass'], bearings.carrier_in_block) == 'rolling' else 'plain'} bearing"
    cast = {"block": block or own.block_material, "cylinder": block or own.cylinder_material,
            "guide": own.guide_material, "head": "grey iron" if kind.machine == "pump" else "aluminium"}.get(name, name)
    return "birch plywood" if kind.machine == "hand_model" else "tin bronze" if cast == "bronze" else cast


def _shapes(case, made):
    """Full volume [m3] and kind of filling of each shape."""
    d, r = case.design, made.rules
    bore, crank, carrier, face = made.bore, d.crank.si, d.carrier.si, d.gear_pair.si.face_width
    lay, long, wall = layshaft.sizes(d), 2.0 * sum(made.axis.values()), r["wall"]
    shell = np.pi * (2.0 * made.case + wall + made.layshaft[1]) * long + 2.0 * np.pi * made.case**2
    fins = (made.deck - made.bore_low) * (1.0 if d.design.machine == "pump" else FILLING["barrel"][1])
    pair, steel, throws = d.pair, 0.25 * np.pi, d.n_cylinders
    webs = 2 if d.ordinary_crank.crankpin_layout == "common" else throws + 1
    web = 2.0 * r["web_reach"] * (0.5 * d.cylinders.si.stroke + 2.0 * r["web_reach"]) * r["web"]
    shafts = throws * crank.pin_diameter**2 * crank.pin_length + 2.0 * crank.journal_diameter**2 * crank.journal_length

    def seat(diameter, length, kind):
        thick = diameter * r["rolling" if kind == "rolling" else "bush"]
        return np.pi * (diameter + thick) * thick * length, "bearing"

    return {
        "case": (shell * wall, "case"), "head": (steel * (1.5 * bore) ** 2 * r["head"], "head"),
        "barrel": (np.pi * (bore + wall) * wall * (fins + max(made.bore_low - made.case, 0.0)) / FILLING["barrel"][1],
                   "barrel"),
        "guide": (np.pi * (d.guide.si.rod_diameter + r["guide_wall"]) * r["guide_wall"] * d.guide.si.length, "steel"),
        "ring": (np.pi * ((pair.ring_root_radius + r["rim"])**2
                          - (0.5 * (pair.ring_root_radius + pair.ring_tip_radius))**2) * face, "steel"),
        "carrier_weight": (0.5 * made.weights[1], "steel"), "crank_weight": (0.5 * made.weights[0], "steel"),
        "layshaft": (steel * lay.diameter**2 * (crank.mesh_span + face), "steel"),
        "lay_gear": (np.pi * lay.radius**2 * r["tie_gear"], "steel"),
        "carrier_gear": (0.5 * np.pi * lay.carrier_radius**2 * r["tie_gear"], "steel"),
        "ordinary_crank": (steel * (shafts + webs * web) + made.weights[0], "steel"),
        **{name: (bore**3 / density(case), name) for name in ("valves", "crosshead")},
        "pin_bearing": seat(crank.pin_diameter, crank.pin_length, d.bearings.crankpin),
        "crank_bearing": seat(crank.journal_diameter, crank.journal_length, d.bearings.crank_in_carrier),
        "carrier_bearing": seat(carrier.bearing_diameter, carrier.bearing_length, d.bearings.carrier_in_block),
        "main_bearing": seat(crank.journal_diameter, crank.journal_length, d.bearings.carrier_in_block),
        "wrist_bearing": seat(WRIST_PIN_OVER_BORE * bore, WRIST_LENGTH * bore, "journal"),
        "lay_bearing": seat(lay.diameter, layshaft.WIDTH * lay.diameter, "rolling"),
    }
