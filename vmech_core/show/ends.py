"""Figures of the two ends of the planet crank: how they share the tooth force, and what a tie between them does."""

from dataclasses import replace

import numpy as np

from vmech_core.base.units import from_si, show
from vmech_core.machine import ends
from vmech_core.show import style

#: One look per end, the same in both figures.
END = ({**style.SECOND, "zorder": 3}, style.OTHERS[2])
NAMES = ("end 1", "end 2, which drives the load")
DECADES = (2.0, 2.0)  # below and above the stiffness that the meshes set against the tie


def shares_against_tie(case):
    """Share of each end in the tooth force against the stiffness of the tie between the carriers.

    Parameters
    ----------
    case : Case [-]
        An assessed design.

    Returns
    -------
    Figure [-]
        Load in the middle, guides idle, no phase error: a curve for each end with a band for the range of the mesh
        stiffness, the two limits as lines, and, where the design ties its carriers, its own stiffness as marks: full
        without phase error, hollow with the phase error of the file at the peak of the tooth force.
    """
    fig, (ax,) = style.figure(8.4, 4.2)
    design, drive = case.design, case.drive
    own = ends.from_design(design, drive)
    tied = replace(own, driving="both", tie_phase_error=0.0)
    mesh, middle = ends.mesh_of_design(design, drive), np.log10(ends.meshes_against_tie(tied, drive))
    stiffness = np.logspace(middle - DECADES[0], middle + DECADES[1], 161)
    tied = replace(tied, tie_stiffness=stiffness)
    low, likely, high = (ends.shares(replace(tied, mesh_stiffness=k), drive, 1.0)
                         for k in (mesh.low, mesh.likely, mesh.high))
    for k, look in enumerate(END):
        ax.fill_between(stiffness, low[:, k], high[:, k], color=look["color"], alpha=0.2, linewidth=0)
        ax.plot(stiffness, likely[:, k], label=NAMES[k], **look)
    free = ends.shares(replace(own, driving="one"), drive, 1.0)
    ax.axhline(0.0, color="black", linewidth=0.8)
    ax.axhline(0.5, label="ideal tie: 0.5 and 0.5", **style.LIMIT)
    for k, value in enumerate(free):
        words = f"one driving carrier: {show(free[0], figures=3)} and {show(free[1], figures=3)}" if k else None
        ax.axhline(value, label=words, **style.QUIET)
    _own_tie(ax, case, own)
    reach = 0.15 * (free[1] - free[0])
    style.label(ax, "stiffness of the tie, $k_L$ [N m/rad]", "share of the tooth force, $F_{t,i}/F_t$ [1]",
                xscale="log", xlim=(stiffness[0], stiffness[-1]), ylim=(free[0] - reach, free[1] + reach))
    style.legend(ax, beside=True, small=True)
    band = " to ".join(show(value / 1e9, figures=3) for value in (mesh.low, mesh.high))
    return _foot(fig, case, f"load in the middle, guides idle; band: mesh stiffness {band} kN/µm [estimated]")


def _own_tie(ax, case, own):
    """Marks at the design's own tie: full without phase error, hollow with it at the peak of the tooth force."""
    if own.driving == "one" or own.tie_stiffness == 0.0:
        return
    mesh, degrees = case.loads["mesh"], case.design.crank.tie_phase_error_deg
    peak = float(mesh[np.argmax(np.abs(mesh))])
    marks = [(replace(own, tie_phase_error=0.0), "black", "tie of the design, well phased")]
    if degrees:
        words = f"the same with {degrees:g} deg of phase error\nat the peak, {show(peak, 'kN', 3)}"
        marks.append((own, "white", words))
    for axis, face, words in marks:
        pair = ends.shares(axis, case.drive, peak)
        ax.plot([axis.tie_stiffness] * 2, pair, "o", color="black", markerfacecolor=face, label=words, zorder=5)


def end_forces(case):
    """Tangential tooth force of each end over one cycle: one driving carrier, tied as designed, ideally tied.

    Parameters
    ----------
    case : Case [-]
        An assessed design.

    Returns
    -------
    Figure [-]
        Guides idle; a panel for each case on one scale; the middle one is left out where the design has no tie.
    """
    cases = _cases(ends.from_design(case.design, case.drive), case.design.crank.tie_phase_error_deg)
    found = {words: ends.end_loads(axis, case.drive, case.loads)["mesh_end"] for words, axis in cases.items()}
    largest = max(np.abs(force).max() for force in found.values())
    unit = "N" if largest < 100.0 else "kN"
    fig, axes = style.figure(3.3 * len(cases) + 0.6, 3.6, columns=len(cases))
    angle, top = np.degrees(case.angle), 1.08 * from_si(largest, unit)
    for ax, (words, force) in zip(axes, found.items(), strict=True):
        for k, look in enumerate(END):
            ax.plot(angle, from_si(force[k], unit), label=NAMES[k], **look)
        ax.axhline(0.0, color="black", linewidth=0.8)
        peaks = " and ".join(show(from_si(peak, unit), figures=3) for peak in np.abs(force).max(axis=-1))
        style.over_cycle(ax, angle, f"tooth force of an end, $F_{{t,i}}$ [{unit}]",
                         f"{words}\npeaks {peaks} {unit}", "carrier angle, $\\theta$ [deg]", ylim=(-top, top))
    style.legend_above(fig, axes[0])
    return _foot(fig, case, "guides idle, rigid crank, meshes without backlash")


def _cases(own, degrees):
    """Supports by the words that stand over their panel."""
    cases = {"one driving carrier": replace(own, driving="one")}
    if own.driving == "both" and own.tie_stiffness > 0.0:
        cases[f"tied: {show(own.tie_stiffness, 'N m/rad', 3)}, {degrees:g} deg"] = own
    cases["ideal tie"] = replace(own, driving="both", tie_stiffness=np.inf, tie_phase_error=0.0)
    return cases


def _foot(fig, case, words):
    design, support = case.design, case.design.carrier.support.replace("_", " ")
    return style.below(fig, f"{style.named(design)}, meshes {design.crank.mesh_span_mm:g} mm apart, carriers: {support}"
                            f"\n{words}; {case.load_case}")
