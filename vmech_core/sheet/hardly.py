"""Whether there may be anything doubtful about a design: limits without their words, which stand in ``doubts``."""

from itertools import combinations

#: Outer over inner diameter of the eye of a big end; journal over crankpin below which it is thin: common practice.
#: A web is at least ``WEB`` bores thick (low end for in-line petrol engines: Kolchin and Demidov, from memory).
#: Above the others a value is doubted: oil [C], crankcase [bar], inlet and outlet of an engine [bar].
EYE, THIN, WEB, HOTTEST, CRANKCASE, INLET = 1.55, 0.3, 0.15, 150.0, 5.0, 10.0


def may_be_doubtful(d):
    """Say whether the words have to be loaded to know.

    Parameters
    ----------
    d : Design [-]
        The design.

    Returns
    -------
    bool [-]
        False only where nothing is doubtful.
    """
    own, crank, guide, duty = d.cylinders, d.crank, d.guide, d.duty
    low, high, journal = duty.inlet_pressure_bar, duty.outlet_pressure_bar, crank.journal_diameter_mm
    near = any(abs(a - b) < guide.rod_diameter_mm for a, b in combinations(own.axial_position_mm, 2))
    opposite = any(abs(abs(a - b) % 360.0 - 180.0) < 0.01 for a, b in combinations(own.bank_angle_deg, 2))
    shape = crank.pin_diameter_mm >= 0.5 * own.stroke_mm + journal or journal < THIN * crank.pin_diameter_mm
    loose = guide.clearance_um >= guide.piston_clearance_um or room_for_the_eye(d) < 0.0
    hot = d.lubricant.temperature_C > HOTTEST or duty.crankcase_pressure_bar > CRANKCASE
    given = any(not isinstance(getattr(d.masses, key), str) for key in d.masses.rules)
    odd = low >= high or d.design.machine == "engine" and high > INLET
    return near or opposite or shape or no_web(d) or loose or hot or given or odd


def no_web(d):
    """Find the first two crankpins on different axes that leave no room for a web, where the design states none.

    Parameters
    ----------
    d : Design [-]
        The design.

    Returns
    -------
    tuple of int [1]
        Their numbers, counted from 1; empty if all have room.
    """
    own, least = d.cylinders, d.crank.pin_length_mm + WEB * d.cylinders.bore_mm
    lines = enumerate(zip(own.bank_angle_deg, own.axial_position_mm, strict=True), 1)
    return next(((i, j) for (i, (bank, place)), (j, (other, beside)) in combinations(lines, 2)
                 if abs(place - beside) < least - 1e-9 and 0.01 < (bank - other) % 180.0 < 179.99
                 and not d.crank.web_mm), ())


def room_for_the_eye(d):
    """Length of the rod that the eye of its big end leaves at inner dead centre.

    Parameters
    ----------
    d : Design [-]
        The design.

    Returns
    -------
    float [mm]
        Negative if it would meet the guide or the piston.
    """
    guide = d.guide.length_mm if d.guide.place == "above_crank" else 0.0
    below = d.guide.piston_length_mm + d.cylinders.stroke_mm + 0.5 * EYE * d.crank.pin_diameter_mm
    return d.guide.rod_length_mm - below - guide
