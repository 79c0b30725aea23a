"""Published component fits and published comparisons of mechanisms, beside our own numbers.

The fits are those of K. J. Patton, R. G. Nitschke and J. B. Heywood (1989), with the change of D. Sandoval and
J. B. Heywood (2003) where ``step`` is 500; constants as restated in Sandoval's thesis (MIT 2002). They stand for spark
engines of cars, and are an extrapolation in size here.
"""

from collections import namedtuple

import numpy as np

from vmech_core.base import estimates
from vmech_core.friction import contacts
from vmech_core.friction.accessories import friction_pressure
from vmech_core.friction.assumptions import ASSUMPTIONS
from vmech_core.friction.layouts import at

#: Oil pump, water pump and idle generator [kPa]: powers of the speed [rpm]. Form of 2003 from memory.
AUXILIARIES = {1989: (-1.79e-7, 5.22e-3, 6.23), 2003: (7.45e-7, 1.86e-3, 8.32)}
#: What the fits need, in their units: mm, rpm, 1. ``thin`` is the root of the viscosity over that of their engines;
#: ``step`` is 1000 in 1989 and 500 in 2003, ``tension`` the ring tension over that of 1989, ``gas`` 1 and 2.
Engine = namedtuple("Engine", "bore stroke cylinders ratio speed main main_length mains rod rod_length cams valves "
                    "lift thin step tension gas", defaults=(1.0, 1000.0, 1.0, 1.0))
#: Published values of parts of a small engine, 430 cm3 at 3,000 rpm without pumping [Pa], and our contacts in them.
#: Low, likely and high were judged from fits and shares of several authors.
_OURS = {"wrist pins": ("wrist pin",), "mains and big ends": ("main journal in block", "rod big end on crankpin")}
PARTS = {part: (own, _OURS.get(part, (part,)))
         for part, own in {**estimates("published parts"), "total": ASSUMPTIONS["published"]}.items()}
#: A published balance of a crank engine, computed: watts by part, indicated watts; the same with a free piston.
#: B. Jia, R. Mikalsen, A. Smallbone, A. Roskilly (2018), as quoted in a review (2022).
CRANK = {"rings": 2299.4, "skirts": 810.2, "crank and bearings": 1508.9, "valve train": 1724.4}, 44070.0
FREE = {"rings": 2489.0, "valve train": 1724.4, "generator": 265.4}, 50064.0


def component_fits(e):
    """Friction pressure of each part of an engine with pushrods and flat tappets.

    Parameters
    ----------
    e : Engine [-]
        The engine.

    Returns
    -------
    dict of str to float [Pa]
        ``seals``, ``mains``, ``turbulence``, ``skirts``, ``ring tension``, ``big ends``, ``ring gas``, ``valve train``
        and ``auxiliaries`` (oil pump, water pump, idle generator).

    Valid: the spark engines of cars that they were fitted to, full throttle.
    Source: see the head of this file.
    """
    size, piston = e.bore**2 * e.stroke * e.cylinders, 2e-3 * e.stroke * e.speed / 60.0
    slow, each = 1.0 + e.step / e.speed, e.valves / (e.stroke * e.cylinders)
    valves = (244.0 * e.thin * e.speed * e.cams / size + 4.12 + 400.0 * slow * each
              + 0.5 * e.thin * e.lift**1.5 * e.speed**0.5 * each / e.bore + 32.1 * slow * e.lift * each)
    kilo = {
        "seals": 1.22e5 * e.main / size,
        "mains": 3.03e-4 * e.thin * e.speed * e.main**3 * e.main_length * e.mains / size,
        "turbulence": 1.35e-10 * e.main**2 * e.speed**2 * e.mains / e.cylinders,
        "skirts": 294.0 * e.thin * piston / e.bore,
        "ring tension": 4.06e4 * slow * e.tension / e.bore**2,
        "big ends": 3.03e-4 * e.thin * e.speed * e.rod**3 * e.rod_length * e.cylinders / size,
        "ring gas": 6.89 * (0.088 * e.thin * e.ratio + 0.182 * e.ratio ** (1.33 - 0.0238 * e.gas * piston)),
        "valve train": valves,
        "auxiliaries": np.polyval(AUXILIARIES[2003 if e.step == 500.0 else 1989], e.speed),
    }
    return {name: 1e3 * float(value) for name, value in kilo.items()}


def engine_of(design):
    """A design's ordinary engine in the units of the fits: two valves of 7 mm lift a cylinder, two cam bearings.

    Parameters
    ----------
    design : Design [-]
        An engine.

    Returns
    -------
    Engine [-]
        With the constants of 1989.

    Valid: two main bearings.
    Source: the design file; valves are our own choice.
    """
    own, crank = design.cylinders, design.crank
    return Engine(own.bore_mm, own.stroke_mm, design.n_cylinders, 1.0 + 1.0 / own.clearance_volume_ratio,
                  design.duty.speed_rpm, crank.journal_diameter_mm, crank.journal_length_mm, 2, crank.pin_diameter_mm,
                  crank.pin_length_mm, 2, 2 * design.n_cylinders, 7.0)


def beside_ours(design, outcome):
    """Part by part: published range, fits of 1989 and 2003, and ours over the samples of a study.

    Parameters
    ----------
    design : Design [-]
        An engine.
    outcome : Outcome [-]
        From ``monte_carlo``.

    Returns
    -------
    dict of str to tuple [Pa]
        By part: ``Estimate`` of the published values; fits of both years, nan where there is none; low, likely and high
        of ours, (3,) array: 5, 50 and 95 % of the samples, without what is not modelled.

    Valid: as ``component_fits``; its auxiliaries are left out, the oil pump has no fit of its own.
    Source: ``PARTS``.
    """
    first = engine_of(design)
    fits = [component_fits(e) for e in (first, first._replace(step=500.0, tension=0.75, gas=2.0, thin=np.sqrt(0.8)))]
    alike = {"skirts": ("skirts",), "rings": ("ring tension", "ring gas"), "seals": ("seals",),
             "mains and big ends": ("mains", "turbulence", "big ends"), "valve train": ("valve train",)}
    alike["total"] = sum(alike.values(), ())
    volume = at(design).displacement, float(design.duty.si.speed), design.duty.cycle_turns
    rows = {}
    for part, (values, names) in PARTS.items():
        ours = sum(outcome.ordinary[name] for name in names)
        if part == "total":
            ours = ours - outcome.missing
        both = [sum(fit[name] for name in alike[part]) if part in alike else np.nan for fit in fits]
        rows[part] = values, both, friction_pressure(np.quantile(ours, (0.05, 0.5, 0.95)), *volume)
    return rows


def gain(cut, efficiency):
    """How much more brake work an engine gives when a share of its friction goes.

    Parameters
    ----------
    cut : float or (...) array [1]
        Share of the friction that goes.
    efficiency : float or (...) array [1]
        Mechanical efficiency before.

    Returns
    -------
    float or (...) array [1]
        Relative gain, cut (1 - efficiency) / efficiency. It reaches g where the efficiency is cut / (cut + g).

    Valid: same indicated work.
    Source: definition.

    Examples
    --------
    >>> print(f"{gain(0.33, 0.33 / 0.57):.2f} {gain(0.33, 0.85):.3f}")
    0.24 0.058
    """
    return cut * (1.0 - np.asarray(efficiency)) / efficiency


def two_ways(case):
    """What a comparison finds that adds up parts for one machine and takes a published total for the other.

    Parameters
    ----------
    case : Case [-]
        An engine.

    Returns
    -------
    dict of str to float [-]
        ``parts``: gears, bearings and guides of the straight-line drive [W]; ``total``: published total of an ordinary
        engine [W]; ``cut``: by what share the first is less [1]. ``straight``, ``ordinary``: both machines by one law
        [W]; ``one_law``: the same share of these, below zero where the drive loses [1].

    Valid: likely values; published total as in ``ASSUMPTIONS``.
    Source: M. ElBahloul, E. Aziz, C. Chassapis (2019) name such methods; ``friction``.
    """
    straight, ordinary = (own.means for own in contacts.of_both(case))
    left = "rings", "seals", "oil pump", "valve train", "total"
    parts = sum(float(power[0]) for name, power in straight.items() if name not in left)
    rate = friction_pressure(1.0, case.displacement, float(case.drive.speed), case.design.duty.cycle_turns)
    total, own, other = ASSUMPTIONS["published"].likely / rate, float(straight["total"][0]), float(ordinary["total"][0])
    return {"parts": parts, "total": total, "cut": 1.0 - parts / total, "straight": own, "ordinary": other,
            "one_law": 1.0 - own / other}


def bound(case):
    """Most that a drive could save that has neither skirts nor pins nor a crank: published and ours.

    Parameters
    ----------
    case : Case [-]
        An engine.

    Returns
    -------
    dict of str to tuple of two float [1]
        ``published`` and ``ours``: friction over indicated power with a crank, and without. Published is a free piston
        with its generator; ours is the ordinary crank without skirts, wrist pins and bearings.

    Valid: likely values.
    Source: ``CRANK``, ``FREE``; ``friction``.
    """
    means = {name: float(power[0]) for name, power in contacts.of_ordinary(case).means.items()}
    gone = means["skirts"] + sum(means[seat] for seat in {seat.kin for seat in case.ordinary_seats})
    indicated = float(case.ordinary_loads["torque"][:-1].mean()) * float(case.ordinary.speed)
    return {"published": tuple(sum(parts.values()) / whole for parts, whole in (CRANK, FREE)),
            "ours": (means["total"] / indicated, (means["total"] - gone) / indicated)}


def single(design):
    """The first cylinder of a design alone, for comparisons with published single-cylinder engines.

    Parameters
    ----------
    design : Design [-]
        The design.

    Returns
    -------
    Design [-]
        One cylinder in the middle.

    Valid: any design; nothing else is made smaller.
    Source: none needed.
    """
    return design.changed(**{"cylinders.bank_angle_deg": [design.cylinders.bank_angle_deg[0]],
                             "cylinders.axial_position_mm": [0.0], "duty.firing_turn": [0]})
