"""What could be built but is hardly meant: one sentence each, with the unit that the number looks like; told once."""

import warnings
from itertools import combinations

import numpy as np

#: Outer over inner diameter of the eye of a big end; journal over crankpin below which it is thin: common practice.
#: A web is at least ``WEB`` bores thick (low end for in-line petrol engines: Kolchin and Demidov, from memory).
#: Above the others a value is doubted: oil [C], crankcase [bar], inlet and outlet of an engine [bar].
EYE, THIN, WEB, HOTTEST, CRANKCASE, INLET = 1.55, 0.3, 0.15, 150.0, 5.0, 10.0
#: Steel, g/mm3; a part below this share of its rough solid mass is doubted.
STEEL, LIGHTEST = 7.85e-3, 0.05
_TOLD = set()


class Doubtful(UserWarning):
    """A design that could be built but is hardly meant; shown as its sentence, without the line of code."""


def doubts(design):
    """List what is doubtful about a design.

    Parameters
    ----------
    design : Design [-]
        The design.

    Returns
    -------
    list of str [-]
        One sentence each; empty if nothing is.
    """
    return [*_shapes(design), *_lines(design), *_masses(design), *_units(design), *_oil(design)]


def warn(design):
    """Warn of what is doubtful, of each thing once for a design and all that is made from it.

    Parameters
    ----------
    design : Design [-]
        The design; those with one name count as one.
    """
    for sentence in doubts(design):
        what = design.name, sentence.partition(" = ")[0]
        if what not in _TOLD:
            _TOLD.add(what)
            warnings.warn(f"{design.name}: {sentence}", Doubtful, stacklevel=2)


def other_pressure(value_bar, usual_bar):
    """Say in which unit a pressure would be near the usual one.

    Parameters
    ----------
    value_bar : float [bar]
        The pressure.
    usual_bar : float [bar]
        The usual one.

    Returns
    -------
    str [-]
        Words to put behind a sentence; empty if there is no such unit.
    """
    from vmech_core.base.hints import others  # loaded where there is something to say

    units = ((words.lstrip("*"), one) for words, _, one, _ in others("bar"))
    unit, one = min(units, key=lambda item: abs(np.log(value_bar * item[1] / usual_bar)))
    return f": if it is in {unit}, that is {value_bar * one:.4g} bar" if 0.2 < value_bar * one / usual_bar < 5.0 else ""


def _in_a_sentence(message, category, *where, before=warnings.formatwarning):
    return f"{message}\n" if issubclass(category, Doubtful) else before(message, category, *where)


warnings.formatwarning = _in_a_sentence


def _shapes(d):
    crank, guide, throw = d.crank, d.guide, 0.25 * d.cylinders.stroke_mm
    if 0.5 * crank.pin_diameter_mm >= throw + 0.5 * crank.journal_diameter_mm:
        yield (f"crank.pin_diameter_mm = {crank.pin_diameter_mm:g} encloses the whole journal at a throw of "
               f"{throw:.4g} mm: no web is left between them; "
               f"below {2.0 * throw + crank.journal_diameter_mm:.4g} mm there is one.")
    if crank.journal_diameter_mm < THIN * crank.pin_diameter_mm:
        yield (f"crank.journal_diameter_mm = {crank.journal_diameter_mm:g} is thin beside crankpins of "
               f"{crank.pin_diameter_mm:g} mm: from {THIN * crank.pin_diameter_mm:.4g} mm this is not asked.")
    if guide.clearance_um >= guide.piston_clearance_um:
        yield (f"guide.clearance_um = {guide.clearance_um:.4g} in the running machine is not below "
               f"guide.piston_clearance_um = {guide.piston_clearance_um:.4g}: the piston touches its bore before the "
               "guide carries.")
    if pins := _no_web(d):
        places = [d.cylinders.axial_position_mm[pin - 1] for pin in pins]
        gap, least = abs(places[1] - places[0]) - crank.pin_length_mm, WEB * d.cylinders.bore_mm
        yield (f"cylinders.axial_position_mm = {places[0]:g} and {places[1]:g} leaves {gap:.4g} mm between crankpins "
               f"{pins[0]} and {pins[1]}, which do not share an axis: without a web nothing holds them together; from "
               f"{crank.pin_length_mm + least:.4g} mm apart this is not asked, nor where crank.web_mm states the web.")
    spare = _room_for_the_eye(d)
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
    crank, guide, carrier = d.crank, d.guide, d.carrier
    shafts = d.n_cylinders * crank.pin_diameter_mm**2 * crank.pin_length_mm
    shafts += 2.0 * crank.journal_diameter_mm**2 * crank.journal_length_mm
    round_bar = 0.25 * np.pi * STEEL
    rough = {"piston_g": 4.5e-4 * d.cylinders.bore_mm**3, "crank_g": round_bar * shafts,
             "piston_rod_g": round_bar * guide.rod_diameter_mm**2 * guide.rod_length_mm,
             "carrier_g": round_bar * carrier.bearing_diameter_mm**2 * carrier.bearing_length_mm}
    for key, usual in rough.items():
        given = getattr(d.masses, key)
        if not isinstance(given, str) and np.min(given) < LIGHTEST * usual:
            yield (f"masses.{key} = {np.min(given):g} is less than a twentieth of about {float(f'{usual:.2g}'):g} g "
                   f"for these dimensions: if it is in kilograms, write {1e3 * np.min(given):g}.")


def _units(d):
    duty, oil = d.duty, d.lubricant.temperature_C
    high = {"inlet_pressure_bar": INLET, "outlet_pressure_bar": INLET} if d.design.machine == "engine" else {}
    for key, most in {**high, "crankcase_pressure_bar": CRANKCASE}.items():
        value = getattr(duty, key)
        if value > most:
            yield f"duty.{key} = {value:g} is far above the air of the surroundings{other_pressure(value, 1.013)}."
    if d.design.machine == "pump" and duty.inlet_pressure_bar >= duty.outlet_pressure_bar:
        yield (f"duty.inlet_pressure_bar = {duty.inlet_pressure_bar:g} is not below duty.outlet_pressure_bar = "
               f"{duty.outlet_pressure_bar:g}: nothing is pumped up.")
    if oil > HOTTEST:
        yield (f"lubricant.temperature_C = {oil:g} is hotter than oil lasts: if it is in degrees Fahrenheit, write "
               f"{(oil - 32.0) / 1.8:.3g}.")


def _oil(d):
    """Parts that the oil does not reach, as in ``bearings.oil_supply``."""
    kinds, oil = d.bearings, d.lubricant
    if oil.grade == "dry":
        return
    why = next((f"bearings.{part} = \"rolling\" passes no oil on" for part in ("carrier_in_block", "crank_in_carrier")
                if getattr(kinds, part) == "rolling"), "") if oil.crankpin_feed == "carriers" else ""
    if why and kinds.crankpin == "journal":
        yield (f"{why}: the crankpins get no oil by way of the carriers; "
               'lubricant.crankpin_feed = "crank_end" leads it in on the axis of the crank.')
    if kinds.crankpin == "rolling":
        why = 'bearings.crankpin = "rolling" throws off little oil'
    if why and oil.guide_feed == "splash":
        yield (f'{why}: with lubricant.guide_feed = "splash" the guides may starve; "pressed" feeds them through the '
               "block.")


def _no_web(d):
    """Numbers of the first two crankpins on different axes with no room for a web, if the design states none."""
    own, least = d.cylinders, d.crank.pin_length_mm + WEB * d.cylinders.bore_mm
    lines = enumerate(zip(own.bank_angle_deg, own.axial_position_mm, strict=True), 1)
    return next(((i, j) for (i, (bank, place)), (j, (other, beside)) in combinations(lines, 2)
                 if abs(place - beside) < least - 1e-9 and 0.01 < (bank - other) % 180.0 < 179.99
                 and not d.crank.web_mm), ())


def _room_for_the_eye(d):
    """Length of the rod [mm] that the eye of its big end leaves at inner dead centre; below 0 it meets a part."""
    guide = d.guide.length_mm if d.guide.place == "above_crank" else 0.0
    below = d.guide.piston_length_mm + d.cylinders.stroke_mm + 0.5 * EYE * d.crank.pin_diameter_mm
    return d.guide.rod_length_mm - below - guide
