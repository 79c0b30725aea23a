"""The layshaft that ties the two carriers of the straight-line drive: two meshes, two bearings, its lips.

Sizes that a design file does not give: the layshaft runs beside the sweep of the big ends, at twice the speed of the
carriers; it is as thick as the stiffness of the tie asks for. All own layout.
"""

from collections import namedtuple

import numpy as np

from vmech_core.bearings import rollers
from vmech_core.friction import accessories
from vmech_core.gears import loss

#: Teeth of the carrier's gear over those of the layshaft; radius of a big end over the pin diameter; least shaft [m];
#: gear on a carrier over its bearing; width of a layshaft bearing over the shaft. Own layout.
RATIO, BIG_END, THINNEST, OVER_BEARING, WIDTH = 2.0, 0.75, 0.010, 1.05, 0.6
#: Shear modulus of steel [Pa]; contact ratio before and after the pitch point; mean friction of its teeth (from memory,
#: 0.04 to 0.09 for ground to milled flanks).
SHEAR_MODULUS, PATH, TOOTH_FRICTION = 8.0e10, 0.8, 0.06

#: Sizes of a layshaft; its fields are what ``sizes`` returns.
Sizes = namedtuple("Sizes", "carrier_radius radius diameter factor")


def sizes(design):
    """Sizes of the layshaft that a design with tied carriers needs.

    Parameters
    ----------
    design : Design [-]
        The design.

    Returns
    -------
    carrier_radius, radius : float [m]
        Pitch radius of the gear on a carrier, and of the layshaft's.
    diameter : float [m]
        Of the shaft.
    factor : float [1]
        Tooth-loss factor of one of its meshes.

    Valid: gears of the module of the design; an ideal tie gets a shaft as thick as its gears allow.
    Source: centre distance = half the stroke + big end + half the shaft; torsion of a round bar between the meshes,
        whose stiffness the ratio raises by its square at the carriers.
    """
    crank, module = design.crank.si, design.gear_pair.si.module
    reach = 0.5 * design.cylinders.si.stroke + BIG_END * crank.pin_diameter
    carrier = max(RATIO / (1.0 + RATIO) * reach, OVER_BEARING * 0.5 * design.carrier.si.bearing_diameter,
                  RATIO * 0.7 * THINNEST)
    wanted = (32.0 * crank.tie_stiffness / RATIO**2 * crank.mesh_span / (np.pi * SHEAR_MODULUS)) ** 0.25
    radius = carrier / RATIO
    teeth = 2.0 * radius / module
    return Sizes(carrier, radius, float(np.clip(wanted, THINNEST, 1.4 * radius)),
                 float(loss.loss_factor(teeth, RATIO * teeth, PATH, PATH)))


def power(design, tie, speed, density, rolling, factors):
    """Loss of the layshaft at every angle; all its parts turn in step with the carriers.

    Parameters
    ----------
    design : Design [-]
        A design whose carriers are tied.
    tie : (A,) array [N m]
        Torque of the tie on carrier 1.
    speed : float [rad/s]
        Of the carriers.
    density : float [kg/m3]
        Of the oil.
    rolling : callable [-]
        Bearing, load and speed to the power of a rolling bearing.
    factors : dict of str to (S,) array [1]
        ``teeth``, ``layshaft``, ``tooth_oil``, ``lay_lips`` and ``seals``, as in ``ASSUMPTIONS``.

    Returns
    -------
    dict of str to (S, A) array [W]
        ``layshaft meshes``, ``layshaft bearings``, ``layshaft lips``.

    Valid: spur gears on both carriers, equal sizes at both ends; alternating torque without blows.
    Source: as ``gears.loss`` for an external pair; ``rollers``; ``accessories.seal_power``.
    """
    own, f = sizes(design), {name: np.reshape(value, (-1, 1)) for name, value in factors.items()}
    force, passing = np.abs(tie) / own.carrier_radius, speed * own.carrier_radius
    meshes = 2.0 * TOOTH_FRICTION * own.factor * force * passing * f["teeth"]
    pair, face = design.pair, design.gear_pair.si.face_width
    oil = 2.0 * loss.oil_power(pair, face, speed, density).likely * (passing / loss.pitch_speed(pair, speed)) ** 3
    bearing = rollers.estimate(own.diameter, WIDTH * own.diameter)
    load = force / np.cos(design.gear_pair.si.pressure_angle)
    lips = accessories.seal_power(own.diameter, RATIO * speed, count=1) * f["seals"] * f["lay_lips"]
    return {"layshaft meshes": (meshes + oil * f["tooth_oil"]) * f["layshaft"],
            "layshaft bearings": 2.0 * rolling(bearing, load, RATIO * speed), "layshaft lips": lips}
