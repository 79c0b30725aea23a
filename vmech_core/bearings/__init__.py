"""Oil, surfaces and what runs on them: plain bearings, rolling bearings, sliding pads, and the films of a design.

It knows of every bearing of both machines which part it is, its load in space and both speeds of its members, and
solves any batch of them; it sums up no losses of a machine, and nothing here draws.

``seats`` makes bearings of a design, ``films`` its films. Below them, without any engine: ``mobility`` marches
journals, ``journal`` says what such an orbit costs, ``pads`` marches sliders, ``rollers`` rates rolling bearings,
``steady`` holds closed forms and tables for loads at rest, ``oils`` and ``surfaces`` what they share.
"""

from vmech_core.base.lazy import attach

__all__, __getattr__, __dir__ = attach(__name__, {
    "alone": "one_of_each",
    "feed": "guide_balance guide_need oil_supply",
    "films": "EFFORT journals oil_path settle sliders thinned with_ends with_films",
    "journal": "Warm boundary_power film_ratio film_thickness leakage power",
    "mobility": "Journals Orbit orbit",
    "seats": "ORDINARY STRAIGHT Seat ordinary straight",
    "steady": "film_numbers operating_point plane_slider short_bearing short_bearing_error short_eccentricity",
    "surfaces": "BOUNDARY_BELOW FULL_ABOVE composite_roughness regime",
}, modules="oils pads rollers")
