"""Does a crank live: notches, fatigue strength, safety at every spot of a chain; and what a pressed pinion holds."""

from collections import namedtuple

import numpy as np

from vmech_core.base import Estimate, row, rows
from vmech_core.size.crank import RIM
from vmech_core.size.making import press_fit, seat_torque

#: Fillet radius over the pin's diameter where the file gives none, and oil hole over it: common practice, no source.
FILLET, HOLE = 0.05, 0.1
#: Fatigue strength at the edge of a press fit is lowered by fretting: bending, twist (handbook values, from memory).
FRETTING = (2.0, 1.5)
#: Ground surface, size (diameter in mm, up to 51 mm and above), 99 % of all parts: R. Budynas, K. Nisbett, Shigley's
#: Mechanical Engineering Design, 8th edition, tables 6-2 and 6-5, equation 6-20 (from memory).
SURFACE, SMALL, LARGE, RELIABLE = (1.58, -0.085), (1.24, -0.107), (1.51, -0.157), 0.814
#: Friction of a pressed seat of steel in steel: common practice, no source.
GRIP = Estimate(0.08, 0.12, 0.2, "1", "common practice, no source")
_ROUND = np.exp(-2j * np.pi * np.arange(36) / 36)

#: Safety by each criterion.
Criteria = namedtuple("Criteria", "goodman gerber elliptic soderberg")
#: Safety at one spot; its fields are what ``safeties`` returns.
Safety = namedtuple("Safety", "name model place criteria rule yielding alternating mean factors overlap")
#: A pressed seat; its fields are what ``pinion_seat`` returns.
Pressed = namedtuple("Pressed", "diameter interference rim pressure hoop torque needed")


def criteria(alternating, mean, limit, tensile, yielding):
    """Safety of an alternating stress on a mean stress by four usual criteria.

    Parameters
    ----------
    alternating, mean : float or (...) array [Pa]
        Equivalent stresses (von Mises), not below 0, with the fatigue factors of the notch in them; if both are
            0 the safety is infinite.
    limit : float or (...) array [Pa]
        Fatigue strength of the part, reversed.
    tensile, yielding : float [Pa]
        Strengths.

    Returns
    -------
    Criteria [1]
        Modified Goodman, Gerber, ASME elliptic, Soderberg.

    Valid: endless life; loads that grow together.
    Source: R. Budynas, K. Nisbett, Shigley's Mechanical Engineering Design; rows G-24 and G-25.

    Examples
    --------
    >>> float(criteria(100e6, 120e6, limit=200e6, tensile=600e6, yielding=400e6).soderberg.round(3))
    1.25
    """
    a, m, y = (np.divide(*both) for both in ((alternating, limit), (mean, tensile), (mean, yielding)))
    with np.errstate(divide="ignore"):
        return Criteria(1.0 / (a + m), 2.0 / (a + np.sqrt(a * a + 4.0 * m * m)), 1.0 / np.hypot(a, y), 1.0 / (a + y))


def safeties(design, chain):
    """Safety at every spot of a crank over the cycle.

    Parameters
    ----------
    design : Design [-]
        Its design: steel, fillets.
    chain : Chain [-]
        The crank.

    Returns
    -------
    list of Safety [-]
        Two for each fillet: ``shaft`` (shoulder of a round shaft, worst place around it), ``web`` (marine rule, bending
        of the web in the plane of its throw).

        name, model : str [-]
            Spot and model.
        place : float [m]
            Along z.
        criteria : Criteria [1]
            Safety against fatigue.
        rule : float [1]
            Strength over stress by the marine rule, which wants 1.15; not a number for other models.
        yielding : float [1]
            Safety against yielding, without notch.
        alternating, mean : float [Pa]
            Equivalent stresses with notch.
        factors : tuple of float [1]
            Fatigue factors of bending and twist.
        overlap : float [m]
            Of pin and journal, or of two pins, behind the web of a fillet.

    Raises
    ------
    InputError
        If the steel is not in the table.

    Valid: endless life; ranges of bending and twist as if they met, which is on the safe side.
    Source: von Mises; Neuber's notch curve, ``data/shoulder_fits.csv``, ``data/web_fits.csv``; oil hole and
        strength of the rule: IACS UR M53 (from memory, but its strength); rows G-24, G-25, G-28 to G-30, G-33.
    """
    steel, crank, found = row("shaft_steels", "material", design.crank.material), design.crank.si, []
    tensile, yielding = 1e6 * float(steel["tensile_MPa"]), 1e6 * float(steel["yield_MPa"])
    radius = crank.fillet or FILLET * crank.pin_diameter
    strong = _rule_strength(tensile, crank.pin_diameter, radius, float(steel["grain"]))
    for spot in chain.spots:
        d, moment = spot.diameter, chain.section(spot.bar, spot.share)[1][0]
        place = chain.node[spot.bar, 2] * (1.0 - spot.share) + chain.node[spot.bar + 1, 2] * spot.share
        bend = ((moment[0] + 1j * moment[1]) * _ROUND[:, None]).real * 32.0 / (np.pi * d**3)
        twist, rule = 16.0 * moment[2] / (np.pi * d**3), (1.0, 1.0)
        kinds = [("shaft", bend, _factors(spot, tensile, radius))]
        if spot.web >= 0:
            (wide, thick), along = chain.bar[spot.web], chain.node[spot.web + 1] - chain.node[spot.web]
            across = np.cross(along / np.linalg.norm(along), [0.0, 0.0, 1.0])
            web = across @ chain.section(spot.web, 0.5)[1][0] * 6.0 / (wide * thick**2)
            part, unit = "pin" if spot.name.startswith("pin ") else "journal", crank.pin_diameter
            rule = _web_fillet(part, spot.overlap / unit, thick / unit, wide / unit, radius / unit)
            kinds.append(("web", web[None], [_notch(k, tensile, radius, twisted) for twisted, k in enumerate(rule)]))
        for model, stress, (bent, twisted) in kinds:
            (a, m), (ta, tm) = _range(stress), _range(twist)
            both = [np.sqrt((bent * s) ** 2 + 3.0 * (twisted * t) ** 2) for s, t in ((a, ta), (m, tm))]
            safe = criteria(*both, _limit(tensile, d), tensile, yielding)
            worst = safe.goodman.argmin()
            held = strong / np.sqrt((rule[0] * a[0]) ** 2 + 3.0 * (rule[1] * ta) ** 2) if model == "web" else np.nan
            yields = yielding / np.sqrt(stress**2 + 3.0 * twist**2).max()
            found.append(Safety(spot.name, model, float(place), Criteria(*(float(v[worst]) for v in safe)), float(held),
                                float(yields), float(both[0][worst]), float(both[1][worst]), (float(bent), float(
                                    twisted)), float(spot.overlap)))
    return found


def pinion_seat(case, force):
    """What a pinion pressed on the crank would hold.

    Parameters
    ----------
    case : Case [-]
        The case.
    force : float [N]
        Greatest tooth force of one end.

    Returns
    -------
    Pressed [-]
        The seat.

        diameter, interference : float [m]
            Of the seat, as in the design or by rule.
        rim : float [m]
            Steel under the roots of the teeth.
        pressure : float [Pa]
            On the seat.
        hoop : float [Pa]
            Stress at the bore of the pinion.
        torque : Estimate [N m]
            That it holds, by friction.
        needed : float [N m]
            That the force asks for.

    Valid: crank and pinion equally warm and both of steel; teeth count as no rim.
    Source: ``press_fit``.
    """
    own, crank, pair = case.design, case.design.crank.si, case.design.pair
    d = crank.seat_diameter or 2.0 * (pair.pinion_root_radius - RIM * pair.module)
    over, metal = crank.seat_interference or 1e-3 * d, (own.gear_pair.si.pinion_youngs_modulus, 0.3)
    fit = press_fit(0.0, d, 2.0 * pair.pinion_root_radius, over, metal, metal)
    held = float(seat_torque(fit.pressure, d, own.gear_pair.si.face_width, 1.0))
    torque = Estimate(*(held * grip for grip in (GRIP.low, GRIP.likely, GRIP.high)), "N m", GRIP.basis)
    return Pressed(float(d), float(over), float(pair.pinion_root_radius - 0.5 * d), float(fit.pressure),
                   float(fit.outer_hoop), torque, 0.25 * float(case.drive.stroke) * force)


def _notch(factor, tensile, radius, twist=False):
    """Fatigue factor of a notch: Neuber's curve as fitted in Budynas and Nisbett, equation 6-35; row G-28."""
    fit = (-2.67e-8, 1.35e-5, -2.51e-3, 0.190) if twist else (-2.67e-8, 1.51e-5, -3.08e-3, 0.246)
    return 1.0 + (factor - 1.0) / (1.0 + np.polyval(fit, tensile / 6.894757e6) / np.sqrt(radius / 0.0254))


def _shoulder(ratio, radius, load):
    """Stress concentration of a shoulder, by thick and by fillet over thin; rows G-29, G-30. The table ends flat."""
    own = [entry for entry in rows("shoulder_fits") if entry["load"] == load]
    found = [float(entry["factor"]) * radius ** float(entry["power"]) for entry in own]
    return max(1.0, float(np.interp(ratio, [float(entry["ratio"]) for entry in own], found)))


def _web_fillet(part, overlap, thick, wide, radius):
    """Stress concentration of a fillet at a web: bending of the web, twist of the pin; IACS UR M53, from memory.

    All over the diameter of the pin; beyond the range of the rule the values at its ends are taken.
    """
    s, w, b, r = np.clip((overlap, thick, wide, radius), (-0.5, 0.2, 1.1, 0.03), (0.5, 0.8, 2.2, 0.13))
    fit = {key: np.array(text.split(), dtype=float)[::-1] for key, text in row("web_fits", "part", part).items()
           if key != "part"}
    shape = sum((1.0 - s) ** j * np.polyval(fit[f"P{j}"], w) for j in range(3))
    bending = fit["lead"] * shape * w ** fit["w_power"] * r ** fit["r_power"] * np.polyval(fit["b"], b)
    twist = 0.8 * r ** (-0.322 + 0.1015 * (1.0 - s)) * np.polyval((-0.857, 5.3482, -10.654, 7.8955), b) * w**-0.145
    return float(bending[0]), float(twist)


def _rule_strength(tensile, diameter, radius, grain):
    """Fatigue strength of a crank, IACS UR M53 section 6, row G-33; the rule takes no fillet below 2 mm."""
    strong, d, r = tensile * 1e-6, diameter * 1e3, max(radius * 1e3, 2.0)
    return 1e6 * grain * (0.42 * strong + 39.3) * (
        0.264 + 1.073 * d**-0.2 + (785.0 - strong) / 4900.0 + 196.0 / strong * np.sqrt(1.0 / r))


def _limit(tensile, diameter):
    """Fatigue strength of a ground round part, most of 100."""
    factor, power = SMALL if diameter <= 0.051 else LARGE
    size = factor * (1e3 * diameter) ** power
    return SURFACE[0] * (1e-6 * tensile) ** SURFACE[1] * size * RELIABLE * min(0.5 * tensile, 700e6)


def _factors(spot, tensile, radius):
    """Fatigue factors of a spot as part of a round shaft."""
    if spot.kind == "seat":
        return FRETTING
    if spot.kind == "hole":
        bending, twist = (np.polyval(fit, HOLE) for fit in ((34.6, -5.88, 3.0), (30.0, -6.0, 4.0)))
        radius, twist = 0.5 * HOLE * spot.diameter, twist / np.sqrt(3.0)
    else:
        bending, twist = (_shoulder(spot.thick / spot.diameter, radius / spot.diameter, load)
                          for load in ("bending", "torsion"))
    return _notch(bending, tensile, radius), _notch(twist, tensile, radius, True)


def _range(stress):
    """Half the range over the cycle, and the size of its middle."""
    high, low = stress.max(axis=-1), stress.min(axis=-1)
    return 0.5 * (high - low), 0.5 * np.abs(high + low)
