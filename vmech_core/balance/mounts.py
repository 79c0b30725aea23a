"""What a workshop leaves of a perfect balance, and how far the engine moves on its springs."""

from collections import namedtuple

import numpy as np

from vmech_core.base import sampling

#: Balance quality grades of ISO 21940-11, permissible speed of the centre of gravity [m/s].
GRADES = 1e-3 * np.array([0.4, 1.0, 2.5, 6.3, 16.0, 40.0, 100.0, 250.0, 630.0, 1600.0, 4000.0])
#: Limits of a careful workshop (own choice, no source): each counterweight's mass (relative), radius and place of its
#: centre of gravity [m] and angle [rad]; rods and crank as weighed (relative), centre of gravity of the crank [m].
ERRORS = {"mass": 0.005, "radius": 1e-4, "angle": 0.004, "place": 2e-4, "weighed": 0.002, "x": 2e-5, "y": 2e-5}
#: Mass of a small complete engine over its displacement [kg/m3]: 50 to 100 kg per litre is common practice, no source.
HEAVY = 75e3
#: What ``workshop`` found: speed of the centre of gravity of each machine made [m/s], grade that 95 of 100 keep [m/s].
Workshop = namedtuple("Workshop", "speed grade")


def permissible(grade, speed, mass):
    """Residual unbalance that a balance grade permits.

    Parameters
    ----------
    grade : float [m/s]
        Grade, for G 6.3 0.0063.
    speed : float [rad/s]
        Speed of the rotor.
    mass : float [kg]
        Its mass.

    Returns
    -------
    float [kg m]
        Mass moment, both planes together.

    Valid: rigid rotors.
    Source: ISO 21940-11, U = G m / omega; worked example in tests/published/test_balance.py.

    Examples
    --------
    >>> round(1e6 * permissible(0.0063, 1047.2, 2.0), 2)
    12.03
    """
    return grade * mass / speed


def workshop(case, weights, errors=None, count=2000, seed=1):
    """Unbalance of machines made with errors around weights that fit, as the speed of a centre of gravity.

    Parameters
    ----------
    case : Case [-]
        The case.
    weights : Weights [-]
        From ``fit``; what does not fit is not an error and does not count.
    errors : dict of str to float or None [-]
        Other limits than ``ERRORS``, by its keys.
    count : int [1]
        Machines.
    seed : int [1]
        Seed.

    Returns
    -------
    dict of int to Workshop [-]
        By rotor: of its two planes the worse, over half of the rotor's mass. The carriers count with the crank.

    Valid: assembled without a trial run on a balancing machine; independent errors, normal between their limits.
    Source: Monte Carlo; the grade of ISO 21940-11. Errors: own choice.
    """
    limits, drive, bodies, crank = ERRORS | (errors or {}), case.drive, weights.bodies, weights.drive.crank_mass
    counts = dict.fromkeys(ERRORS, len(bodies)) | {"weighed": len(drive.bank_angle) + 1, "x": 1, "y": 1}
    names = [(kind, f"{kind}_{i}") for kind, n in counts.items() for i in range(n)]
    draw = sampling.sample([sampling.Dimension(name, 0.0, -limits[kind], limits[kind]) for kind, name in names], count,
                           seed)
    off = {kind: np.reshape([draw[f"{kind}_{i}"] for i in range(n)], (n, count)) for kind, n in counts.items()}
    own, at, mass, rotor = np.array([(b.sector.moment * np.exp(1j * b.angle), b.place, b.sector.mass, b.room.rotor)
                                     for b in bodies]).reshape(-1, 4).T[..., None]
    made = own * (1.0 + off["mass"]) * (1.0 + off["radius"] * mass / abs(own)) * np.exp(1j * off["angle"])
    parts = 0.25 * drive.stroke * np.append(drive.reciprocating_mass, crank)[:, None] * off["weighed"]
    turned = np.append(np.exp(2j * drive.bank_angle), 0.0)[:, None] * parts
    turned[-1] = crank * (off["x"][0] + 1j * off["y"][0])
    places, found = np.append(case.design.cylinders.si.axial_position, 0.0), {}
    for turn, rest in ((1, parts), (-1, turned)):
        mine = rotor == turn
        moment = ((made - own) * mine).sum(axis=0) + rest.sum(axis=0)
        product = ((made * (at + off["place"]) - own * at) * mine).sum(axis=0) + places @ rest
        heavy = crank + (turn > 0) * (2.0 * case.mass["carrier"].likely + (mass * mine).sum().real)
        lever = np.abs(at * mine).max(initial=0.0) or np.inf
        speed = (np.abs(moment) + np.abs(product) / lever) * float(drive.speed) / heavy
        found[turn] = Workshop(speed, float(GRADES[np.searchsorted(GRADES[:-1], np.quantile(speed, 0.95))]))
    return found


def on_springs(case, unbalance, speeds, natural=50.0, damping=0.1, mass=None, gyration=None):
    """Movement over one turn of the engine as one rigid block on springs that are equally soft all around.

    Parameters
    ----------
    case : Case [-]
        The case, for the size of the block.
    unbalance : Unbalance [-]
        What shakes it.
    speeds : (S,) array [rad/s]
        Speeds of the shaft, idle and rated for example.
    natural : float [rad/s]
        Natural frequency, straight and rocking alike; 50 is 8 Hz, common practice, no source.
    damping : float [1]
        Damping ratio; rubber has 0.05 to 0.15, from memory.
    mass : float or None [kg]
        Of the whole engine; None is displacement times ``HEAVY``.
    gyration : float or None [m]
        Radius of gyration across the axis; None is 1.5 strokes, own rule.

    Returns
    -------
    moved : (S, 361) complex array [m]
        Place of the middle of the axis against its rest, at every degree and 360 once more.
    rocked : (S, 361) complex array [rad]
        Lean of the axis toward its positive end.

    Valid: steady speed, small movements; no roll by the torque, which a soft mount shows first at idle.
    Source: forced oscillator, any text on vibration; marched in time in tests/balance/test_shaking.py.
    """
    rate = unbalance.order * np.asarray(speeds, dtype=float)[:, None]
    gain = rate**2 / (natural**2 - rate**2 + 2j * damping * natural * rate)
    turns = np.exp(1j * np.outer(unbalance.order, np.linspace(0.0, 2.0 * np.pi, 361)))
    mass = case.displacement * HEAVY if mass is None else mass
    inertia = mass * (1.5 * float(case.drive.stroke) if gyration is None else gyration) ** 2
    return tuple(np.einsum("sn,na->sa", gain * own, turns) / over
                 for own, over in ((unbalance.moment, mass), (unbalance.product, inertia)))
