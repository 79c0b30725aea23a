"""Every number that is uncertain and counts for friction: low, likely, high and basis. Set on the ordinary crank alone.

Where published values of a part are known for an engine like the first demo (430 cm3 in two cylinders, 3,000 rpm,
without pumping), the range was set to hold them, with the likely value near theirs, on the ordinary crank alone: skirts
0.10 to 0.33 bar (likely 0.20), rings 0.15 to 0.35 (0.26), valve train 0.07 to 0.31 (0.16), seals 0.03 to 0.08 (0.05),
oil pump 0.02 to 0.07 (0.04), plain bearings of the crank 0.03 to 0.25, wrist pins 0.005 to 0.08. No saving was looked
at for that, though the verdict of earlier ranges was known. Sources of these: ``published``.
"""

from vmech_core.base.results import Estimate
from vmech_core.bearings import journal, surfaces

OWN, MEMORY = "own judgement", "from memory"
FIT = "range holds published component fits, Patton and others (1989)"
#: Factors multiply the value of the design or of a published law.
ASSUMPTIONS = {
    "viscosity": Estimate(0.85, 1.0, 1.2, "1", "factor: width of a grade, SAE J300 and ISO 3448"),
    "inlet": Estimate(-15.0, 0.0, 15.0, "K", f"oil at the inlet against the design; {OWN}"),
    "clearance": Estimate(0.8, 1.0, 1.3, "1", f"factor on plays of bearings and guides; {OWN}"),
    "sheared": journal.SHEARED,
    "plain": Estimate(0.35, 1.0, 1.8, "1", f"factor on the shear of plain bearings; {FIT}, and shares of others"),
    "heat_share": Estimate(0.5, 0.8, 1.0, "1", f"share of a bearing's loss that its oil takes; {OWN}"),
    "roughness": Estimate(0.5, 1.0, 2.0, "1", f"factor; {OWN}"),
    "peaks": Estimate(0.18, 1.0, 4.9, "1", f"factor on the pressure of touching peaks; Greenwood and Tripp, {MEMORY}"),
    "boundary": surfaces.BOUNDARY_FRICTION,
    "crown": Estimate(0.5, 1.0, 2.0, "1", f"factor on crowns of guides and skirts; {OWN}"),
    "wetted": Estimate(0.4, 0.7, 1.0, "1", "share of the length of guides and skirts that oil wets; oil was seen to be "
                       f"starved at mid-stroke (2014), size: {OWN}"),
    "guide_oil": Estimate(0.2, 1.0, 1.4, "1", "factor on the wetted share of guides alone, which stays below 1: oil "
                          "balance of a guide on splash, bearings.guide_balance; its shares are own estimates"),
    "skirt_play": Estimate(0.15, 0.22, 0.4, "1", "running play that tilt leaves to a skirt, over that of films.sliders;"
                           f" service data 0.4 to 1.1 µm/mm cold, less growth, less tilt; {FIT}"),
    "skirt_oil": Estimate(10.0, 30.0, 60.0, "K", f"oil at the skirts above the inlet; walls 110 to 170 °C, {MEMORY}"),
    "skirt_marks": Estimate(1.0, 1.5, 2.5, "1", f"factor on roughness of skirts: turned grooves; {MEMORY}"),
    "pins": Estimate(0.003, 0.03, 0.10, "1", "friction coefficient of bearings that swing: 0.02 to 0.10 mixed to "
                     f"boundary, {MEMORY}; measured as not fluid at high load, Suhara and others (1997); low: a film"),
    "ring_oil": Estimate(10.0, 30.0, 60.0, "K", f"oil under the rings above the inlet; {OWN}"),
    "ring_crown": Estimate(0.5, 1.0, 2.0, "1", f"factor on the barrel of the rings; {MEMORY}"),
    "ring_tension": Estimate(0.55, 1.3, 1.8, "1", f"factor on their tension; {FIT}"),
    "ring_gas": Estimate(0.6, 1.2, 1.6, "1", f"factor on the gas that presses them; {FIT}"),
    "teeth": Estimate(0.7, 1.0, 1.4, "1", f"factor on Schlenk's mean friction of teeth; {OWN}"),
    "tooth_oil": Estimate(0.1, 1.0, 15.0, "1", f"factor on the oil that the teeth carry; {OWN}"),
    "rollers": Estimate(0.2, 0.85, 1.5, "1", "factor on Palmgren's law: holds f0 5 to 12 for needles, constant "
                        "coefficients and a sliding and rolling law of catalogues; likely: their middle"),
    "layshaft": Estimate(0.5, 1.0, 2.0, "1", f"factor on meshes and oil of the layshaft; {OWN}"),
    "lay_lips": Estimate(0.0, 1.0, 2.0, "1", f"lips of the layshaft: 0 inside the case, 2 with gears outside; {OWN}"),
    "valve_train": Estimate(0.6, 1.5, 3.1, "1", f"factor on the range of published valve trains; {FIT}"),
    "seals": Estimate(0.35, 1.3, 2.2, "1", f"factor on line force and friction of two lips; {FIT}"),
    "oil_pump": Estimate(0.5, 1.0, 2.2, "1", f"factor on pump work: efficiency and margin; {MEMORY}"),
    "published": Estimate(0.65e5, 0.90e5, 1.30e5, "Pa", "total of a small engine without pumping, from six published "
                          "fits; what our ordinary crank lacks of it is not modelled"),
    "missing_share": Estimate(0.0, 1.0, 2.0, "1", "how much of what is not modelled the straight-line drive has too: "
                              f"0 none, 1 as many watts, 2 about in proportion to its total; {OWN}"),
}
#: Assumptions that no contact feels: they say what is not modelled.
GAP = ("published", "missing_share")
#: Words for it among the contacts.
MISSING = "not modelled"
