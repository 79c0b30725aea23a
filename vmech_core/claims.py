"""What is claimed for the straight-line drive, when it holds, when it breaks, and the number that this core computes.

``python -m vmech_core.claims README.md`` writes the table between its two marks; a test fails when it is stale.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from vmech_core.gears import train
from vmech_core.units import from_si, show

START, END = "<!-- claims: computed, do not edit by hand -->", "<!-- end of claims -->"
OPEN = "not yet computed"


@dataclass(frozen=True)
class Claim:
    """One claim with its conditions.

    Attributes
    ----------
    claim : str [-]
        What is said.
    holds : str [-]
        When it holds.
    breaks : str [-]
        When it breaks.
    number : callable or None [-]
        From an Assessment of the demo engine to a short text with units; None until it is computed.
    notebook : str [-]
        Where it is examined.
    """

    claim: str
    holds: str
    breaks: str
    number: Callable | None
    notebook: str


def _straight(a):
    pair, radius = a.design.pair, 0.25 * a.design.cylinders.si.stroke
    across = train.path_ellipse(radius, radius + 5e-5)[1]
    tilt = train.path_ellipse(radius, radius, 2.0 * np.pi / pair.pinion_teeth)[2]
    return (
        f"pin radius 0.05 mm off: {show(across * 1e3, 'mm')} to each side; one tooth out: line turned by "
        f"{show(np.degrees(tilt), 'deg', 3)}"
    )


def _any_bank(a):
    angle, radius = np.linspace(0.0, 2.0 * np.pi, 721), 0.25 * a.design.cylinders.si.stroke
    worst = max(
        np.abs((train.pin_path(angle, radius, radius, bank_angle=b) * np.exp(-1j * b)).imag).max()
        for b in np.linspace(0.0, np.pi, 181)
    )
    order = int(np.ceil(np.log10(worst / radius))) if worst else -17
    return f"181 bank angles: off the line by less than 1e{order} of the carrier radius"


def _side(a):
    c = a.stage("comparison")
    return (
        f"guides idle: tooth force {_kn(c['tooth_force'])} against {_kn(c['side_thrust'])} side thrust of the ordinary "
        f"crank, {show(c['tooth_over_thrust'].value, '', 2)} times; no gear: guides "
        f"{_kn(a.stage('loads')['guides_guide'])}"
    )


def _harmonic(a):
    m = a.stage("motion")
    return (
        f"acceleration at outer dead centre {show(m['acceleration_out'].value, 'm/s2', 3)} against "
        f"{show(m['ordinary_acceleration_out'].value, 'm/s2', 3)}"
    )


def _teeth(a):
    bending = [m for m in a.margins if "bending" in m.name]
    return "; ".join(
        f"{m.name}: {show(from_si(m.value, 'MPa'), 'MPa', 3)} of {show(from_si(m.limit, 'MPa'), 'MPa', 3)}"
        for m in bending
    )


def _kn(quantity):
    return show(from_si(quantity.value, "kN"), "kN", 3)


CLAIMS = (
    Claim(
        "The crankpin moves on a straight line.",
        "ring twice the pinion, pin radius equal to carrier radius",
        "radius error (ellipse), phase error (line turned), one tooth out (jam), backlash, bending",
        _straight,
        "01_straight_line",
    ),
    Claim(
        "It works at any bank angle.",
        "each pin at twice its bank angle on the crank",
        "phase is bound to bank angle: opposite cylinders are one body, a boxer is impossible",
        _any_bank,
        "01_straight_line, 02_any_bank_angle",
    ),
    Claim(
        "There is no side thrust.",
        "on the bore: only if guides and teeth hold the rod; the share is not yet computed",
        "always, as a whole: the thrust moves to gear teeth and guides, and it grows",
        _side,
        "00_start_here, 05, 06",
    ),
    Claim(
        "The pistons move as a pure sinusoid.",
        "constant speed, rigid parts",
        "it does not mean no vibration: the first harmonic stays",
        _harmonic,
        "03_motion_compared",
    ),
    Claim(
        "The teeth bear it.",
        "a screen by Lewis, guides idle, carriers ideally tied",
        "one driving carrier (three times the load on one end), impact, contact fatigue; the full rating is to come",
        _teeth,
        "08_gears",
    ),
    Claim("Dwell at the dead centre helps the cycle.", OPEN, OPEN, None, "04_cylinder_pressure"),
    Claim("The engine runs smoothly.", OPEN, OPEN, None, "07_balance"),
    Claim("The bearings keep a film.", OPEN, OPEN, None, "09_bearings_and_guides"),
    Claim("It saves friction.", OPEN, OPEN, None, "10_friction"),
    Claim("It is smaller and lighter.", OPEN, OPEN, None, "11_size_and_mass"),
    Claim("Ordinary accuracy is enough.", OPEN, OPEN, None, "12_tolerances"),
    Claim("Pump flow is more even.", OPEN, OPEN, None, "22, water pump"),
)


def table(assessment):
    """The claims as a Markdown table, with numbers of one assessed design.

    Parameters
    ----------
    assessment : Assessment [-]
        Assessment of the demo engine.

    Returns
    -------
    str [-]
        Table with the columns claim, holds when, breaks when, number, notebook.
    """
    rows = ["| claim | holds when | breaks when | number | notebook |", "|---|---|---|---|---|"]
    rows += [
        f"| {c.claim} | {c.holds} | {c.breaks} | {c.number(assessment) if c.number else OPEN} | {c.notebook} |"
        for c in CLAIMS
    ]
    return "\n".join(rows)


def insert(text, assessment):
    """Replace the table between the two marks of a Markdown text.

    Parameters
    ----------
    text : str [-]
        Text that holds both marks.
    assessment : Assessment [-]
        Assessment of the demo engine.

    Returns
    -------
    str [-]
        The text with a fresh table.
    """
    head, rest = text.split(START, 1)
    return f"{head}{START}\n{table(assessment)}\n{END}{rest.split(END, 1)[1]}"


def main(readme):
    """Rewrite the table of a README from the demo engine beside it.

    Parameters
    ----------
    readme : str or Path [-]
        README.md of the repository.
    """
    from vmech_core.assessment import assess
    from vmech_core.design_file import load_design

    path = Path(readme)
    design = load_design(path.parent / "data" / "v_twin_generator.toml")
    path.write_text(insert(path.read_text(encoding="utf-8"), assess(design)), encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main(sys.argv[1])
