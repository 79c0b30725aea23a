"""Oil, surfaces and what runs on them: plain bearings, rolling bearings, sliding pads, and the films of a design.

It knows for every bearing of both machines its load in space and both speeds; it sums up no losses of a machine.
"""

from vmech_core.base.lazy import attach

__all__, __getattr__, __dir__ = attach(__name__, {
    "films": "journals oil_of oil_path settle thinned with_ends with_films",
    "journal": "Journals film_ratio film_thickness leakage orbit power",
    "surfaces": "composite_roughness regime",
    "seats": "ORDINARY STRAIGHT Seat ordinary straight",
    "steady": "film_numbers operating_point short_bearing short_bearing_error short_eccentricity",
}, modules="oils pads rollers slides")
