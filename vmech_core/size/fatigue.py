"""Does a crank live: notches, fatigue strength, safety at every spot of a chain; and what a pressed pinion holds."""

from collections import namedtuple

import numpy as np

from vmech_core.base import Estimate, row, rows

#: Fillet radius over the pin's diameter where the file gives none, and oil hole over it: common practice, no source.
FILLET, HOLE = 0.05, 0.1
#: Fatigue strength at the edge of a press fit is lowered by fretting: bending, twist (handbook values, from memory).
FRETTING = (2.0, 1.5)
#: Ground surface, size (diameter in mm, up to 51 mm and above), 99 % of all parts: R. Budynas, K. Nisbett, Shigley's
#: Mechanical Engineering Design, 8th edition, tables 6-2 and 6-5, equation 6-20 (from memory).
SURFACE, SMALL, LARGE, RELIABLE = (1.58, -0.085), (1.24, -0.107), (1.51, -0.157), 0.814
#: Friction of a pressed steel seat and rim under the teeth in modules: common practice, no source.
GRIP, RIM = Estimate(0.08, 0.12, 0.2, "1", "common practice, no source"), 1.25
_ROUND = np.exp(-2j * np.pi * np.arange(36) / 36)

#: Safety by each criterion.
Criteria = namedtuple("Criteria", "goodman gerber elliptic soderberg")
#: Safety at one spot; its fields are what ``safeties`` returns.
Safety = namedtuple("Safety", "name model place criteria rule yielding alternating mean factors")
#: A pressed seat; its fields are what ``pinion_seat`` returns.
Seat = namedtuple("Seat", "diameter interference rim pressure hoop torque needed")


def criteria(alternating, mean, limit, tensile, yielding):
    """Safety of an alternating stress on a mean stress by four usual criteria.

    Parameters
    ----------
    alternating, mean : float or (...) array [Pa]
        Equivalent stresses (von Mises).
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
    """
    a, m, y = alternating / limit, mean / tensile, mean / yielding
    return Criteria(1.0 / (a + m), 2.0 / (a + np.sqrt(a * a + 4.0 * m * m)), 1.0 / np.hypot(a, y), 1.0 / (a + y))


def notch(factor, tensile, radius, twist=False):
    """Fatigue factor of a notch from that of elastic stress.

    Parameters
    ----------
    factor : float or (...) array [1]
        Stress concentration.
    tensile : float [Pa]
        Tensile strength.
    radius : float or (...) array [m]
        Of the notch.
    twist : bool [-]
        Twist instead of bending.

    Returns
    -------
    float or (...) array [1]
        1 + q (K_t - 1).

    Valid: steel, tensile strength 340 to 1700 MPa.
    Source: Neuber's curve as fitted in Budynas and Nisbett, equation 6-35; row G-28.
    """
    kpsi = tensile / 6.894757e6
    fit = (-2.67e-8, 1.35e-5, -2.51e-3, 0.190) if twist else (-2.67e-8, 1.51e-5, -3.08e-3, 0.246)
    return 1.0 + (factor - 1.0) / (1.0 + np.polyval(fit, kpsi) / np.sqrt(radius / 0.0254))


def shoulder(ratio, radius, load="bending"):
    """Stress concentration of a shoulder on a round shaft.

    Parameters
    ----------
    ratio : float [1]
        Thick over thin diameter.
    radius : float [1]
        Fillet over thin diameter.
    load : str [-]
        ``bending`` or ``torsion``.

    Returns
    -------
    float [1]
        K_t.

    Valid: ratio from 1.01, radius 0.01 to 0.3; beyond its rows the table ends flat.
    Source: ``data/shoulder_fits.csv``; rows G-29 and G-30.
    """
    own = [entry for entry in rows("shoulder_fits") if entry["load"] == load]
    found = [float(entry["factor"]) * radius ** float(entry["power"]) for entry in own]
    return max(1.0, float(np.interp(ratio, [float(entry["ratio"]) for entry in own], found)))


def web_fillet(part, overlap, thick, wide, radius):
    """Stress concentration of the fillet between a web and a pin or a journal, on the stress of the web as a bar.

    Parameters
    ----------
    part : str [-]
        ``pin`` or ``journal``.
    overlap, thick, wide, radius : float [1]
        Overlap, thickness and width of the web, fillet, over the diameter of the pin.

    Returns
    -------
    bending : float [1]
        On the bending stress of the web.
    twist : float [1]
        On the shear stress of the pin or journal.

    Valid: range of the rule, at whose ends the values are held; overlap from -0.5.
    Source: ``data/web_fits.csv``; IACS UR M53 (from memory), as the twist.
    """
    s, w, b = np.clip((overlap, thick, wide), (-0.5, 0.2, 1.1), (0.5, 0.8, 2.2))
    r, fit = np.clip(radius, 0.03, 0.13), row("web_fits", "part", part)
    number = {key: float(fit[key]) for key in ("lead", "w_factor", "w_power", "r_factor", "r_power", "b0", "b1", "b2")}
    shape = sum((1.0 - s) ** j * np.polyval(list(map(float, fit[f"P{j}"].split()))[::-1], w) for j in range(3))
    bending = (number["lead"] * shape * number["w_factor"] * w ** number["w_power"] * number["r_factor"]
               * r ** number["r_power"] * np.polyval([number["b2"], number["b1"], number["b0"]], b))
    twist = 0.8 * r ** (-0.322 + 0.1015 * (1.0 - s)) * np.polyval([-0.857, 5.3482, -10.654, 7.8955], b) * w**-0.145
    return float(bending), float(twist)


def rule_strength(tensile, diameter, radius, grain=1.0):
    """Fatigue strength of a crank by the marine rule.

    Parameters
    ----------
    tensile : float [Pa]
        Tensile strength.
    diameter, radius : float [m]
        Of pin and fillet.
    grain : float [1]
        Factor of the making.

    Returns
    -------
    float [Pa]
        Reversed stress in the fillet.

    Valid: made for large cranks; small ones lie outside its range.
    Source: IACS UR M53 section 6; row G-33.
    """
    strong, d, r = tensile * 1e-6, diameter * 1e3, max(radius * 1e3, 2.0)
    return 1e6 * grain * (0.42 * strong + 39.3) * (
        0.264 + 1.073 * d**-0.2 + (785.0 - strong) / 4900.0 + 196.0 / strong * np.sqrt(1.0 / r))


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

    Raises
    ------
    InputError
        If the steel is not in the table.

    Valid: endless life; ranges of bending and twist as if they met, which is on the safe side.
    Source: von Mises; ``criteria``, ``notch``, ``shoulder``, ``web_fillet``. Oil hole: rule of IACS UR M53 (memory).
    """
    steel, crank, found = row("shaft_steels", "material", design.crank.material), design.crank.si, []
    tensile, yielding = 1e6 * float(steel["tensile_MPa"]), 1e6 * float(steel["yield_MPa"])
    radius = crank.fillet or FILLET * crank.pin_diameter
    for spot in chain.spots:
        d, (_, moment) = spot.diameter, chain.section(spot.bar, spot.share)
        place = chain.node[spot.bar] + spot.share * (chain.node[spot.bar + 1] - chain.node[spot.bar])
        bend = ((moment[0, 0] + 1j * moment[0, 1]) * _ROUND[:, None]).real * 32.0 / (np.pi * d**3)
        twist, kinds = 16.0 * moment[0, 2] / (np.pi * d**3), [("shaft", bend, _factors(spot, tensile, radius))]
        if spot.web >= 0:
            made, rule = _web(chain, spot, crank.pin_diameter, radius)
            kinds.append(("web", made, (notch(rule[0], tensile, radius), notch(rule[1], tensile, radius, True))))
        limit = _limit(tensile, d)
        for model, stress, (bent, twisted) in kinds:
            (a, m), (ta, tm) = _range(stress), _range(twist)
            both = [np.sqrt((bent * s) ** 2 + 3.0 * (twisted * t) ** 2) for s, t in ((a, ta), (m, tm))]
            safe = criteria(*both, limit, tensile, yielding)
            worst, held = safe.goodman.argmin(), float("nan")
            if model == "web":
                strength = rule_strength(tensile, crank.pin_diameter, radius, float(steel["grain"]))
                held = float(strength / np.sqrt((rule[0] * a[0]) ** 2 + 3.0 * (rule[1] * ta) ** 2))
            yields = float((yielding / np.sqrt(stress**2 + 3.0 * twist**2)).min())
            found.append(Safety(spot.name, model, float(place[2]), Criteria(*(float(v[worst]) for v in safe)), held,
                                yields, float(both[0][worst]), float(both[1][worst]), (float(bent), float(twisted))))
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
    Seat [-]
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
    root = pair.module * (pair.pinion_teeth + 2.0 * (pair.pinion_shift - pair.pinion_dedendum))
    d = crank.seat_diameter or root - 2.0 * RIM * pair.module
    over = crank.seat_interference or 1e-3 * d
    pressure, hoop, _ = press_fit(0.0, 0.5 * d, 0.5 * root, 0.5 * over, own.gear_pair.si.pinion_youngs_modulus)
    held = 0.5 * np.pi * d * d * own.gear_pair.si.face_width * pressure
    torque = Estimate(*(held * grip for grip in (GRIP.low, GRIP.likely, GRIP.high)), "N m", GRIP.basis)
    return Seat(d, over, 0.5 * (root - d), pressure, hoop[0], torque, 0.25 * float(case.drive.stroke) * force)


def press_fit(inner, seat, outer, interference, modulus):
    """Pressure and hoop stress of a shrink fit of two rings of one metal.

    Parameters
    ----------
    inner, seat, outer : float [m]
        Radii; inner 0 for a solid shaft.
    interference : float [m]
        On the radius.
    modulus : float [Pa]
        Young's modulus.

    Returns
    -------
    pressure : float [Pa]
        On the seat.
    hub : tuple of float [Pa]
        Hoop stress of the outer ring at the seat and at its outside.
    shaft : tuple of float [Pa]
        Of the inner ring at its inside and at the seat.

    Valid: elastic, equal lengths.
    Source: thick rings (Lame); row G-31.
    """
    a2, b2, c2 = inner**2, seat**2, outer**2
    p = modulus * interference / (2.0 * seat**3) * (b2 - a2) * (c2 - b2) / (c2 - a2)
    inside = -p if a2 == 0.0 else -2.0 * p * b2 / (b2 - a2)
    return p, (p * (c2 + b2) / (c2 - b2), 2.0 * p * b2 / (c2 - b2)), (inside, -p * (b2 + a2) / (b2 - a2))


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
        bending, twist = (shoulder(spot.thick / spot.diameter, radius / spot.diameter, load)
                          for load in ("bending", "torsion"))
    return notch(bending, tensile, radius), notch(twist, tensile, radius, True)


def _web(chain, spot, pin, radius):
    """Bending stress of the web beside a fillet, (1, A), and its factors by the marine rule."""
    wide, thick = chain.bar[spot.web]
    along = chain.node[spot.web + 1] - chain.node[spot.web]
    far, other = np.linalg.norm(along), chain.bar[spot.web - 1 if spot.web < spot.bar else spot.web + 1, 0]
    across = np.cross(along / far, [0.0, 0.0, 1.0])
    moment = across @ chain.section(spot.web, 0.5)[1][0]
    part = "pin" if spot.name.startswith("pin ") else "journal"
    return moment[None] * 6.0 / (wide * thick**2), web_fillet(part, (0.5 * (spot.diameter + other) - far) / pin,
                                                              thick / pin, wide / pin, radius / pin)


def _range(stress):
    """Half the range over the cycle, and the size of its middle."""
    high, low = stress.max(axis=-1), stress.min(axis=-1)
    return 0.5 * (high - low), 0.5 * np.abs(high + low)
