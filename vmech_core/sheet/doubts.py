"""What could be built but is hardly meant: one sentence each, with the unit that the number looks like."""

import numpy as np

from vmech_core import bearings
from vmech_core.base.units import show

#: Steel of the turning parts and shanks, g/mm3; a part below this share of its rough solid mass is doubted.
STEEL, LIGHTEST = 7.85e-3, 0.05
#: Outer over inner diameter of the eye of a big end; common practice, no source.
EYE = 1.55
#: Units of pressure that are mixed up, in bar.
PRESSURES = {"kPa": 0.01, "MPa": 10.0, "psi": 0.0689476, "Pa": 1e-5}
#: Above this, in degrees Celsius, mineral oil does not last; above this, in bar, few crankcases hold.
HOTTEST, CRANKCASE = 150.0, 5.0


def doubts(case):
    """List what is doubtful about a design.

    Parameters
    ----------
    case : Case [-]
        The case; its trace is looked at as well, if it can be read.

    Returns
    -------
    list of str [-]
        One sentence each; empty if nothing is.
    """
    d = case.design
    return [*_shapes(d), *_lines(d), *_masses(d), *_units(d), *_oil(case), *_trace(case)]


def _shapes(d):
    crank, guide, throw = d.crank, d.guide, 0.25 * d.cylinders.stroke_mm
    if 0.5 * crank.pin_diameter_mm >= throw + 0.5 * crank.journal_diameter_mm:
        yield (f"crank.pin_diameter_mm = {crank.pin_diameter_mm:g} encloses the whole journal at a throw of "
               f"{throw:.4g} mm: no web is left between them; "
               f"below {2.0 * throw + crank.journal_diameter_mm:.4g} mm there is one.")
    if crank.journal_diameter_mm < 0.3 * crank.pin_diameter_mm:
        yield (f"crank.journal_diameter_mm = {crank.journal_diameter_mm:g} is thin beside crankpins of "
               f"{crank.pin_diameter_mm:g} mm: from {0.3 * crank.pin_diameter_mm:.4g} mm this is not asked.")
    if guide.clearance_um >= guide.piston_clearance_um:
        yield (f"guide.clearance_um = {guide.clearance_um:g} is not below guide.piston_clearance_um = "
               f"{guide.piston_clearance_um:g}: the piston touches its bore before the guide carries.")
    spare = guide.rod_length_mm - guide.piston_length_mm - d.cylinders.stroke_mm - 0.5 * EYE * crank.pin_diameter_mm
    spare -= guide.length_mm if guide.place == "above_crank" else 0.0
    if spare < 0.0:
        yield (f"guide.rod_length_mm = {guide.rod_length_mm:g} leaves no room for the eye of the big end, about "
               f"{EYE:g} crankpin diameters wide: from {guide.rod_length_mm - spare:.5g} mm it passes.")


def _lines(d):
    banks, places, rod = d.cylinders.bank_angle_deg, d.cylinders.axial_position_mm, d.guide.rod_diameter_mm
    for i in range(len(banks)):
        for j in range(i):
            turn, apart = abs(banks[i] - banks[j]) % 360.0, abs(places[i] - places[j])
            if abs(turn - 180.0) < 0.01:
                yield (f"cylinders {j + 1} and {i + 1} are opposite: their crankpins have one axis, so that both "
                       "pistons move as one body, one outward while the other moves inward.")
            elif apart < rod - 1e-9:
                yield (f"guide.rod_diameter_mm = {rod:g} is more than the {apart:g} mm between cylinders {j + 1} and "
                       f"{i + 1} along the axis: round rods would meet; flat ones may pass.")


def _masses(d):
    crank, guide, pins = d.crank, d.guide, d.n_cylinders
    shafts = pins * crank.pin_diameter_mm**2 * crank.pin_length_mm
    shafts += 2.0 * crank.journal_diameter_mm**2 * crank.journal_length_mm
    rough = {"piston_g": 4.5e-4 * d.cylinders.bore_mm**3, "crank_g": 0.25 * np.pi * shafts * STEEL,
             "piston_rod_g": 0.25 * np.pi * guide.rod_diameter_mm**2 * guide.rod_length_mm * STEEL,
             "carrier_g": 0.25 * np.pi * d.carrier.bearing_diameter_mm**2 * d.carrier.bearing_length_mm * STEEL}
    for key, usual in rough.items():
        given = getattr(d.masses, key)
        if not isinstance(given, str) and np.min(given) < LIGHTEST * usual:
            yield (f"masses.{key} = {np.min(given):g} is less than a twentieth of about "
                   f"{float(f'{usual:.2g}'):g} g for "
                   f"these dimensions: if it is in kilograms, write {1e3 * np.min(given):g}.")


def _units(d):
    duty, oil = d.duty, d.lubricant.temperature_C
    high = {"inlet_pressure_bar": 10.0, "outlet_pressure_bar": 10.0} if d.design.machine == "engine" else {}
    for key, most in {**high, "crankcase_pressure_bar": CRANKCASE}.items():
        value = getattr(duty, key)
        if value > most:
            yield f"duty.{key} = {value:g} is far above the air of the surroundings{_meant(value, 1.013)}."
    if d.design.machine in ("pump", "compressor") and duty.inlet_pressure_bar >= duty.outlet_pressure_bar:
        yield (f"duty.inlet_pressure_bar = {duty.inlet_pressure_bar:g} is not below duty.outlet_pressure_bar = "
               f"{duty.outlet_pressure_bar:g}: the fluid drives the machine{_meant(duty.inlet_pressure_bar, 1.013)}.")
    if oil > HOTTEST:
        yield (f"lubricant.temperature_C = {oil:g} is hotter than oil lasts: if it is in degrees Fahrenheit, write "
               f"{(oil - 32.0) / 1.8:.3g}.")


def _oil(case):
    """Parts that the oil does not reach."""
    d = case.design
    if d.lubricant.grade == "dry":
        return
    for row in bearings.oil_supply(d, case.drive):
        if row.broken and row.part.startswith("rod"):
            yield (f"{row.broken}: the crankpins get no oil by way of the carriers; "
                   'lubricant.crankpin_feed = "crank_end" leads it in on the axis of the crank.')
        elif row.broken and row.part == "guides":
            yield (f'{row.broken}: with lubricant.guide_feed = "splash" the guides may starve; "pressed" feeds them '
                   "through the block.")


def _trace(case):
    """The lowest pressure of a trace lies near the lower of inlet and outlet, or the unit is another."""
    duty = case.design.duty
    if duty.pressure_from == "cycle" and case.trace is None:
        return
    low, near = 1e-5 * float(case.gas_trace.pressure.min()), min(duty.inlet_pressure_bar, duty.outlet_pressure_bar)
    if case.load == 1.0 and not 0.2 <= low / near <= 5.0:
        yield (f"{duty.pressure_trace} has a lowest pressure of {show(low, 'bar')}, and duty has {near:g} bar before "
               f"the inlet or behind the outlet{_meant(low, near)}.")


def _meant(value, usual):
    """The unit in which a pressure comes nearest to the usual one, in words."""
    unit, one = min(PRESSURES.items(), key=lambda item: abs(np.log(value * item[1] / usual)))
    return f": if it is in {unit}, that is {value * one:.4g} bar" if 0.2 < value * one / usual < 5.0 else ""
