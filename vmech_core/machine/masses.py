"""Masses guessed from geometry alone, each as low, likely, high; flagged "estimated" wherever they are shown.

The factors are our own readings of common practice, no source; they are ranges, not data. Weigh your own parts.
"""

import math

from vmech_core.base.results import Estimate

STEEL = 7850.0  # density of plain steel [kg/m3], common handbook value, from memory
#: Width and thickness of a web over the diameter of the pin: common practice, no source.
WEB_WIDTH, WEB = 1.4, 0.35

#: Mass of a light-alloy piston over bore cubed [kg/m3], rings included: (low, likely, high).
#: Trunk piston with wrist pin; and the crown with ring belt alone, as the straight-line drive needs it.
TRUNK_PISTON = (600.0, 850.0, 1100.0)
CROWN_PISTON = (300.0, 450.0, 650.0)

WRIST_PIN_OVER_BORE = 0.26  # diameter of the wrist pin over the bore (0.22 to 0.30 is common practice, no source)


def crown_piston(bore):
    """Mass of a skirtless piston: crown and ring belt.

    Parameters
    ----------
    bore : float [m]
        Cylinder bore.

    Returns
    -------
    Estimate [kg]
        Mass range.

    Valid: light alloy, bores of 30 to 150 mm.
    Source: common practice, no source.

    Examples
    --------
    >>> round(crown_piston(0.063).likely, 3)
    0.113
    """
    return _scaled(bore**3, CROWN_PISTON, "bore cubed times 300, 450, 650 kg/m3")


def trunk_piston(bore):
    """Mass of a trunk piston with skirt and wrist pin.

    Parameters
    ----------
    bore : float [m]
        Cylinder bore.

    Returns
    -------
    Estimate [kg]
        Mass range.

    Valid: light alloy, bores of 30 to 150 mm.
    Source: common practice, no source.
    """
    return _scaled(bore**3, TRUNK_PISTON, "bore cubed times 600, 850, 1100 kg/m3")


def _straight_rod(length, diameter, pin_diameter, pin_length):
    """Straight piston rod with its big-end eye: a bore up the rod, from wide to none, and eyes from slim to heavy.

    Wall ratios: common practice, no source.
    """
    shank = 0.25 * math.pi * diameter**2 * max(length - 0.75 * pin_diameter, 0.0) * STEEL
    cases = ((0.45, 1.4), (0.7, 1.55), (1.0, 1.75))
    parts = [shank * fill + _eye(pin_diameter, pin_length, wall) for fill, wall in cases]
    return Estimate(*parts, "kg", "steel tube with a big-end eye, outer over inner diameter 1.4, 1.55, 1.75")


def _connecting_rod(length, bore, pin_diameter, pin_length):
    """Ordinary connecting rod; section and wall ratios are common practice, no source."""
    wrist = WRIST_PIN_OVER_BORE * bore
    clear = max(length - 0.75 * (pin_diameter + wrist), 0.0)
    cases = ((0.15, 1.4), (0.25, 1.55), (0.4, 1.75))
    parts = [section * pin_diameter**2 * clear * STEEL + _eye(pin_diameter, pin_length, wall)
             + _eye(wrist, pin_length, wall) for section, wall in cases]
    return Estimate(*parts, "kg", "steel shank of 0.15, 0.25, 0.4 pin diameter squared and two eyes")


def _planet_crank(design):
    """Planet crank: pins, disc webs, two journals, two pinions; volumes of these shapes, common practice, no source."""
    return _scaled(_planet_shapes(design)[0], (0.75, 1.0, 1.25), "steel cylinders and webs, less or more 25 percent")


def web(design):
    """Mass of one whole web of the planet crank, an ellipse that joins opposite pins.

    Parameters
    ----------
    design : Design [-]
        The design.

    Returns
    -------
    float [kg]
        Of steel.

    Valid: before any factor for what the estimate leaves open.
    Source: common practice, no source.
    """
    pin = design.crank.si.pin_diameter
    length, width = 0.5 * design.cylinders.si.stroke + WEB_WIDTH * pin, WEB_WIDTH * pin
    return 0.25 * math.pi * STEEL * length * width * WEB * pin


def _planet_shapes(design):
    """Mass [kg] of these shapes and its moment of inertia about the crank's axis C [kg m2], webs as ellipses on C."""
    crank, pins, quarter = design.crank.si, design.n_cylinders, 0.25 * math.pi * STEEL
    radius, pin, journal = 0.25 * design.cylinders.si.stroke, crank.pin_diameter, crank.journal_diameter
    length, width, webs = 2.0 * radius + WEB_WIDTH * pin, WEB_WIDTH * pin, web(design) * (pins + 1)
    crankpins, journals = pins * pin**2 * crank.pin_length, 2.0 * journal**2 * crank.journal_length
    pinions = 2.0 * (2.0 * radius) ** 2 * design.gear_pair.si.face_width
    turning = crankpins * (radius**2 + pin**2 / 8.0) + journals * journal**2 / 8.0 + pinions * radius**2 / 2.0
    return (quarter * (crankpins + journals + pinions) + webs,
            quarter * turning + webs * (length**2 + width**2) / 16.0)


def crank_inertia(design, mass):
    """Moment of inertia of the planet crank about its own axis C.

    Parameters
    ----------
    design : Design [-]
        The design.
    mass : dict of str to Estimate [kg]
        Masses by part, from ``of_design``.

    Returns
    -------
    Estimate [kg m2]
        Mass of the crank times the squared radius of gyration of the shapes that its mass is guessed from;
        counterweights are left out, as their room is not known here.

    Valid: pins at the distance a = stroke / 4 from C, journals and pinions on C, webs centred on C.
    Source: cylinders and ellipses of any text on mechanics; shapes and range: common practice, no source.
    """
    solid, turning = _planet_shapes(design)
    low, likely, high = (getattr(mass["crank"], level) * turning / solid for level in ("low", "likely", "high"))
    return Estimate(low, likely, high, "kg m2", "shapes of the crank's parts, without counterweights")


def _carrier(bearing_diameter, bearing_length):
    """One carrier, as a steel disc of its bearing's size with the crank bore taken out; common practice, no source."""
    disc = 0.25 * math.pi * bearing_diameter**2 * bearing_length * STEEL
    return _scaled(disc, (0.5, 0.75, 1.1), "steel disc times 0.5, 0.75, 1.1")


def of_design(design):
    """Masses of all moving parts of a design: as given, or estimated where the file says so.

    Parameters
    ----------
    design : Design [-]
        The design.

    Returns
    -------
    dict of str to Estimate [kg]
        Keys ``piston``, ``piston_rod``, ``crank``, ``carrier`` of the straight-line drive, ``ordinary_piston`` and
        ``ordinary_rod`` of the slider-crank. Where the file has a list of pistons or rods, the values are (K,) arrays.

    Valid: steel, but pistons of light alloy; bores of 30 to 150 mm.
    Source: the design file; volumes of the shapes that each estimate names, with factors of common practice.
    """
    bore, stroke, own = design.cylinders.si.bore, design.cylinders.si.stroke, design.masses.si
    crank, guide, wheel, ordinary = design.crank.si, design.guide.si, design.carrier.si, design.ordinary_crank.si
    pin = (crank.pin_diameter, crank.pin_length)
    rules = {"piston": (own.piston, crown_piston(bore)),
             "piston_rod": (own.piston_rod, _straight_rod(guide.rod_length, guide.rod_diameter, *pin)),
             "crank": (own.crank, _planet_crank(design)),
             "carrier": (own.carrier, _carrier(wheel.bearing_diameter, wheel.bearing_length)),
             "ordinary_piston": (ordinary.piston, trunk_piston(bore)),
             "ordinary_rod": (ordinary.rod, _connecting_rod(0.5 * stroke * ordinary.rod_ratio, bore, *pin))}
    return {name: guess if isinstance(value, str) else Estimate(value, value, value, "kg", "given")
            for name, (value, guess) in rules.items()}


def _eye(inner, width, wall):
    return 0.25 * math.pi * ((wall * inner) ** 2 - inner**2) * width * STEEL


def _scaled(base, factors, basis):
    return Estimate(*(base * factor for factor in factors), "kg", basis)
