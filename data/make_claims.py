"""What is claimed for the straight-line drive, when it holds, when it breaks, and the number that this core computes.

``python data/make_claims.py`` writes the table of the README between its two marks; a test fails when it is stale.
"""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import NamedTuple

import numpy as np

from vmech_core import accuracy, balance, friction, gears, size
from vmech_core.base.units import show, written
from vmech_core.case import Case
from vmech_core.design.files import load_design
from vmech_core.machine import train
from vmech_core.pressure.ripple import total_ripple
from vmech_core.sheet.assessment import assess
from vmech_core.sheet.in_time import stored, time_factors
from vmech_core.sheet.rated import rated_teeth

START, END = "<!-- claims: computed, do not edit by hand -->", "<!-- end of claims -->"
#: Plays that look right on the bench, in a block of aluminium: the first drawing of notebook 12.
BENCH = {"running_state.block_material": "aluminium", "guide.piston_clearance_um": 200, "guide.clearance_um": 30,
         "bearings.crankpin_clearance_um": 30, "bearings.carrier_clearance_um": 70}


class _Claim(NamedTuple):
    """What is said, when it holds, when it breaks, its number and the notebook that examines it.

    ``number`` makes a short text with units of an Assessment of the demo engine.
    """

    claim: str
    holds: str
    breaks: str
    number: Callable
    notebook: str


def _marched(channel, films, ends=1):
    """Least and greatest mean peak of the stored marches of the demo engine [N], over damping and like channels."""
    found = [r["mean_N"] for r in stored() if r["design"] == "v_twin_generator" and r["channel"].startswith(channel)
             and r["films"] == films and r["ends"] == ends]
    return min(found), max(found)


def _range(ends):
    low, high = (show(end, "kN", 2) for end in ends)
    return low if low == high else f"{low} to {high}"


def _straight(a):
    pair, radius = a.design.pair, 0.25 * a.design.cylinders.si.stroke
    across = train.path_ellipse(radius, radius + 5e-5)[1]
    tilt = train.path_ellipse(radius, radius, 2.0 * np.pi / pair.pinion_teeth)[2]
    return (f"pin radius 0.05 mm off: {show(across, 'mm')} to each side; one tooth out: line turned by "
            f"{show(tilt, 'deg', 3)}")


def _any_bank(a):
    angle, radius = np.linspace(0.0, 2.0 * np.pi, 721), 0.25 * a.design.cylinders.si.stroke
    banks = np.linspace(0.0, np.pi, 181)
    paths = [train.pin_path(angle, radius, radius, bank_angle=bank) * np.exp(-1j * bank) for bank in banks]
    worst = np.abs(np.imag(paths)).max()
    order = int(np.ceil(np.log10(worst / radius))) if worst else -17
    return f"181 bank angles: off the line by less than 1e{order} of the carrier radius"


def _side(a):
    thrust, found = show(a.stage("comparison")["side_thrust"].value, "kN", 3), a.stage("sharing")
    tooth, guide, bore = (show(found[f"shared_{name}"].value, "kN", 3) for name in ("mesh", "guide", "bore"))
    films, dry = ((_range(_marched("mesh", own)), _range(_marched("bore", own))) for own in (True, False))
    return (f"side thrust of the ordinary crank {thrust}; here, with running plays: teeth {tooth}, one guide {guide}, "
            f"one bore {bore}; in time, oil in all gaps: teeth {films[0]}, one bore {films[1]}; all gaps dry: teeth "
            f"{dry[0]}, one bore {dry[1]}")


def _harmonic(a):
    own, other = (a.stage("motion")[f"{machine}acceleration_out"].value for machine in ("", "ordinary_"))
    return f"acceleration at outer dead centre {show(own, 'm/s2', 3)} against {show(other, 'm/s2', 3)}"


def _teeth(a):
    text = "; ".join(f"{m.name}: {show(m.value, 'MPa', 3)} of {show(m.limit, 'MPa', 3)}, {'holds' if m.ok else 'FAILS'}"
                     for m in a.bending)
    end = a.stage("ends")["mesh_end_2"].value
    share = end / a.stage("comparison")["tooth_force"].value
    films, dry = (_range(_marched("mesh 2", own, 2)) for own in (True, False))
    return (f"{text}; screened with {show(end, 'kN', 2)} at the driven end, {show(share, '', 3)} of the tooth force, "
            f"guides idle; that end in time, guides sharing: {films} with oil in all gaps, {dry} with dry ones")


def _least(case, level):
    found = case.stage("rating")
    return [show(min(found[f"{gear}_{symbol}_{level}"].value for gear in ("pinion", "ring")), "", 3)
            for symbol in ("S_F", "S_H")]


def _rating(a):
    sketch = assess(load_design(Path(__file__).with_name("first_sketch.toml")))
    rows = [(words, *_least(case, level)) for words, case, level in (
        ("likely", a, "likely"), ("stiff crank", a, "light"), ("softest crank, low damping", a, "heavy"),
        ("dry gaps", a, "dry"), ("first sketch, likely", sketch, "likely"))]
    text = "; ".join(f"{words}: {root} and {flank}" for words, root, flank in rows)
    bare, own = (" and ".join(show(min(getattr(one.rating, name).min() for one in found), "", 3)
                              for name in ("S_F", "S_H"))
                 for found in (rated_teeth(a, "heavy", correct=0.0), rated_teeth(a, "computed")))
    return (f"least safety of root S_F (wanted {gears.SAFETY[0]}) and flank S_H (wanted {gears.SAFETY[1]}): {text}; "
            f"crank as a chain of its pins and webs: {own}; softest crank, flanks not ground against it: {bare}")


def _dwell(a):
    traced, own = a.stage("comparison"), a.stage("own_comparison")
    short = traced["mean_torque"].value / traced["ordinary_mean_torque"].value - 1.0
    fair = own["own_mean_torque"].value / own["own_ordinary_mean_torque"].value - 1.0
    return (f"mean torque against the ordinary crank: {show(fair, '%', 2)} at the same charge and heat, "
            f"each with its best ignition; {show(short, '%', 2)} under the same pressure trace")


def _flow(a):
    pressure = np.array([1e5, 20e6])
    straight, ordinary = 100.0 * total_ripple((6.0,), 3, pressure, 0.25)
    words = [f"{written(s, '%', 3)} against {written(o, '%', 3)} at {show(p, 'MPa')}"
             for p, s, o in zip(pressure, straight, ordinary, strict=True)]
    return f"three cylinders, ripple of the mean, rod ratio 6, dead volume 0.25: {'; '.join(words)}"


def _film(a):
    b, pin = a.stage("bearings"), "rod_big_end_on_crankpin_ratio"
    ratios = (f"straight-line_{pin}", f"ordinary_{pin}", "straight-line_crank_in_carrier_ratio")
    straight, ordinary, crank = (show(b[key].value, "", 2) for key in ratios)
    losses = ("straight-line_carrier_in_block_loss", "ordinary_main_journal_in_block_loss")
    carriers, mains = (show(b[key].value, "W", 2) for key in losses)
    return (f"least film over roughness, all bearings plain: crankpins {straight}, ordinary {ordinary}; crank in its "
            f"carrier {crank}; loss of the carriers in the block {carriers}, of ordinary main bearings {mains}")


def _friction(a):
    rows = friction.compare(a.design, ("as drawn", "all on rollers", "stub shaft, all on rollers"), samples=121)
    text = [f"{row.layout} {show(row.straight, 'W', 2)} against {show(row.ordinary, 'W', 2)}" for row in rows]
    return f"friction, likely values, same pressure trace: {'; '.join(text)} of the ordinary crank"


def _smooth(a):
    found, extra = a.stage("balance"), show(a.design.counterweights.si.outside, "mm")
    inside = assess(a.design.changed(**{"counterweights.outside_mm": 0})).stage("balance")
    shaken = (("none on the carriers", found, "drawn"), ("all that there is room for", inside, "fitted"),
              (f"{extra} longer at both ends", found, "fitted"), ("ordinary V-twin", found, "ordinary"))

    def peak(own, key):
        force, couple = (own[f"{key}_{kind}"].value for kind in ("force", "couple"))
        lost = 1e-9 * found["drawn_force"].value  # rounding
        return f"{show(force * (force > lost), 'N', 2)} and {show(couple, 'N m', 2)}"

    text = "; ".join(f"{words} {peak(own, key)}" for words, own, key in shaken)
    shafts = balance.of_ordinary(a).without(2, -2)
    left = [show(float(np.abs(of(a.angle, a.drive.speed)).max()), unit, 2)
            for of, unit in ((shafts.force, "N"), (shafts.couple, "N m"))]
    steel = sum(found[f"{rotor}_mass"].value for rotor in ("carriers", "crank"))
    return (f"peak force and couple on the frame, counterweights of steel: {text}, with two shafts of twice the speed "
            f"{left[0]} and {left[1]}; the full set weighs {show(steel, 'kg', 2)}")


def _even(a):
    found = a.stage("torque")
    split = assess(a.design.changed(**{"ordinary_crank.crankpin_layout": "split"}))
    own = balance.fluctuation(a.angle, split.own_ordinary_loads["torque"]).energy
    pump = assess(load_design(Path(__file__).with_name("star_pump.toml"))).stage("torque")
    drive, ordinary, rotary, crank = (show(one.value, "J", 3) for one in (
        found["energy"], found["own_ordinary_energy"], pump["energy"], pump["own_ordinary_energy"]))
    return (f"energy that a flywheel has to store, each machine on its own cycle: {drive} against {ordinary}, with a "
            f"split crankpin {show(own, 'J', 3)}; pump of three cylinders {rotary} against {crank}")


def _crank_lives(a):
    found, blows = a.stage("crank"), time_factors("engine")["carrier"].high
    rough = min(one.criteria.goodman for one in size.safeties(a.design, size.straight_crank(a, factor=blows)))
    rows = [[show(found[f"{machine}{key}"].value, unit, 3) for key, unit in (
        ("fatigue_goodman", ""), ("fatigue_gerber", ""), ("overlap", "mm"))] for machine in ("", "ordinary_")]
    return ("least safety against fatigue by Goodman and Gerber (wanted 1.5): {} and {}, at little damping {}, pin and "
            "journal overlap by {}; ordinary crank with the same pins, peaks in time left out: {} and {}, overlap {}"
            .format(*rows[0][:2], show(rough, "", 3), rows[0][2], *rows[1]))


def _smaller(a):
    found, rows = a.stage("outline"), []
    for machine in ("", "ordinary_"):
        deck, length = (show(found[machine + key].value, "mm", 3) for key in ("deck", "length"))
        box, mass = 1e3 * found[f"{machine}box"].value, show(found[f"{machine}total_mass"].value, "kg", 2)
        rows.append(f"{deck} high to the deck, {length} long, a box of {box:.0f} L, {mass}, "
                    f"{found[f'{machine}parts'].value:.0f} parts, {found[f'{machine}gears'].value:.0f} gears")
    higher = found["deck"].value - found["ordinary_deck"].value
    ratio = a.design.ordinary_crank.rod_ratio + higher / (0.5 * a.design.cylinders.si.stroke)
    return (f"{rows[0]}; ordinary engine by the same rules: {rows[1]}; as high with a rod ratio of "
            f"{show(ratio, '', 2)}; no flywheel in either")


def _tooth_limit(a):
    """Force of both ends at which the driven end reaches its wanted safety at any angle, likely level [N]."""
    one, force, own = rated_teeth(a)[1], a.ends["mesh_end"][1], a.design
    flanks = np.sign(force[np.abs(force).argmax()]) * force
    at = np.abs(force) > 0.05 * flanks.max()
    duty = replace(one.duty, misalignment=one.tilt[at])
    allowed = gears.allowable_force(own.pair, own.gear_pair.si.face_width, one.steels, duty,
                                    lighter=np.where(flanks[at] > 0.0, -flanks.min() / flanks.max(), 1.0))
    return float(np.abs(a.loads["mesh"]).max() * (allowed / np.abs(force[at])).min())


def _accuracy(a):
    guide, thrust = a.design.guide.si, float(np.abs(a.ordinary_loads["bore"]).max())
    limits = {"teeth": _tooth_limit(a), "guides": 4e6 * guide.length * guide.rod_diameter, "bores": thrust / 3.0}
    found = accuracy.monte_carlo(a.design, count=200, angles=121, seed=1).values
    peaks = {"teeth": found["tooth_peak"], "guides": found["guide_peak"], "bores": found["bore_peak"]}
    good = ", ".join(f"{name} within {show(limit, 'kN', 2)} in {show(np.mean(peaks[name] <= limit), '%', 2)}"
                     for name, limit in limits.items())
    bench = Case(a.drawing.changed(**BENCH), a.samples)
    sides, bores = (show(float(np.abs(bench.shared[name]).max()), "kN", 2) for name in ("guide", "bore"))
    return (f"200 running machines by Monte Carlo, own drawing tolerances, at rest: {good}; in time peaks are larger; "
            f"drawn as if it ran cold, block of aluminium, no errors: one guide {sides}, one bore {bores}")


CLAIMS = (
    _Claim("The crankpin moves on a straight line.",
           "ring twice the pinion, pin radius equal to carrier radius",
           "radius error (ellipse), phase error (line turned), one tooth out (jam), backlash, bending",
           _straight, "01_straight_line"),
    _Claim("It works at any bank angle.",
           "each pin at twice its bank angle on the crank",
           "phase is bound to bank angle: opposite cylinders are one body, a boxer is impossible",
           _any_bank, "01_straight_line, 02_any_bank_angle"),
    _Claim("There is no side thrust.",
           "on the bore: only while teeth, guides and bearings hold the piston within its play",
           "always, as a whole: the thrust moves to gear teeth and guides, and it grows",
           _side, "05_loads_and_side_thrust, 06_who_carries_the_side_load"),
    _Claim("The pistons move as a pure sinusoid.",
           "constant speed, rigid parts",
           "it does not mean no vibration: the first harmonic stays",
           _harmonic, "03_motion_compared"),
    _Claim("The teeth bear it.",
           "drawn for it, with few and large teeth; guides that share and a stiff tie leave more room",
           "small teeth; dry gaps; a soft tie, which loads the driven end with more than the whole force; stub shafts, "
           "impact",
           _teeth, "05_loads_and_side_thrust, 08_gears"),
    _Claim("The teeth live.",
           "life of the design, hardened teeth, a thick crank, the flank that carries most ground against its lean",
           "flanks not ground against the lean of the crank, small teeth; factors of the rating are partly from memory",
           _rating, "08_gears"),
    _Claim("Dwell at the dead centre helps the cycle.",
           "slow burn, little heat lost to the walls",
           "at the wall losses of published fits; compared under one pressure trace",
           _dwell, "04_cylinder_pressure"),
    _Claim("The engine runs smoothly.",
           "counterweights on carriers and on the crank, in two planes each: then force and couple vanish",
           "without room for them; their centrifugal force loads the carriers' bearings; workshop errors (G 16)",
           _smooth, "07_balance"),
    _Claim("The torque is even.",
           "pump with an odd number of evenly spaced cylinders",
           "engine: phase is bound to bank angle, so a V of a right angle fires unevenly and a split pin is no way out",
           _even, "13_torque_and_flywheel"),
    _Claim("The crank lives.",
           "webs thick enough between opposite pins; half the throw of an ordinary crank lets pin and journal overlap",
           "webs of 10 mm, as first drawn; fillets turned instead of ground",
           _crank_lives, "11_size_and_mass"),
    _Claim("The bearings keep a film.",
           "crankpins, and carriers in the block; rollers between crank and carrier",
           "a plain bearing between crank and carrier drags no oil, as its sides turn against each other: a thin "
           "squeezed film; carriers that enclose the crank keep a film and lose more than ten times as much as "
           "ordinary main bearings",
           _film, "09_bearings_and_guides"),
    _Claim("It saves friction.",
           "at likely values in no layout and at no speed computed here: skirts and wrist pins, all that it could "
           "save, cost less than what it adds; with the best rollers and the coarsest grooves on skirts together it "
           "does, by a hair",
           "enclosing carriers, crank bearings at twice the speed, guides, teeth; least with stub shafts and "
           "rollers, whose teeth and rollers do not last",
           _friction, "10_friction"),
    _Claim("It is smaller and lighter.",
           "lower than an ordinary engine with long rods, or with a crosshead",
           "two ring gears, two carriers, a layshaft and counterweights make it longer and heavier",
           _smaller, "11_size_and_mass"),
    _Claim("Ordinary accuracy is enough.",
           "grades 4 to 8, sorted rollers, an iron block for steel carriers, pinions marked and put in by hand",
           "plays drawn as if it ran cold, bearings in aluminium, which open when warm; one tooth out: it jams",
           _accuracy, "12_tolerances"),
    _Claim("Pump flow is more even.",
           "at low pressure, while squeezing the liquid takes less than about half a per cent of the stroke",
           "at higher pressure: the order reverses, with five or seven cylinders within a few MPa",
           _flow, "04_cylinder_pressure, 22"),
)


def table(case):
    """The claims as a Markdown table, with numbers of one assessed design.

    Parameters
    ----------
    case : Case [-]
        Assessment of the demo engine.

    Returns
    -------
    str [-]
        State and load case of all numbers, then a table with claim, holds when, breaks when, number, notebook.
    """
    basis = f"{case.design.name}. State: {case.state_words}. Load case: {case.load_case}."
    rows = [basis, "", "| claim | holds when | breaks when | number | notebook |", "|---|---|---|---|---|"]
    for c in CLAIMS:
        rows.append(f"| {c.claim} | {c.holds} | {c.breaks} | {c.number(case)} | {c.notebook} |")
    return "\n".join(rows)


def insert(text, case):
    """Replace the table between the two marks of a Markdown text.

    Parameters
    ----------
    text : str [-]
        Text that holds both marks.
    case : Case [-]
        Assessment of the demo engine.

    Returns
    -------
    str [-]
        The text with a fresh table.
    """
    head, rest = text.split(START, 1)
    return f"{head}{START}\n{table(case)}\n{END}{rest.split(END, 1)[1]}"


if __name__ == "__main__":
    folder = Path(__file__).resolve().parent
    readme, engine = folder.with_name("README.md"), assess(load_design(folder / "v_twin_generator.toml"))
    readme.write_text(insert(readme.read_text(encoding="utf-8"), engine), encoding="utf-8", newline="\n")
