"""How accurately made: ranking, yield, histogram, paths of a few machines, cold to hot, and a live scene."""

from dataclasses import replace

import numpy as np

from vmech_core import accuracy
from vmech_core.base import Loads, from_si, peak, rms, sampling
from vmech_core.case import Case
from vmech_core.machine import train
from vmech_core.plays import heat_of, scaled, warmed
from vmech_core.pressure.cycles import SAME_TRACE
from vmech_core.sharing import flanks, share
from vmech_core.show import drawing, style, view
from vmech_core.show.sharing import SplitScene

#: Machines and states; quantities have the colours of forces, the pin that of the crank.
LOOKS = (style.OTHERS[3], style.LIMIT, style.SECOND, {**style.QUIET, "linewidth": 1.6, "color": "#444444"})
OF = {**dict(zip(("tooth", "guide", "bore"), map(style.force, ("mesh", "guide", "bore")), strict=True)),
      "pin": {"color": style.CRANK, "linewidth": 1.6}}
SYMBOLS = {"tooth": "F_t", "guide": "N", "bore": "N_b", "pin": "y"}
FORCES = ("tooth", "guide", "bore")
RIGHT, ONE_OUT = "as marked", "one tooth out"


def ranking(scatter, first=6):
    """Which dimensions count most for the peaks.

    Parameters
    ----------
    scatter : Scatter [-]
        A Monte Carlo study.
    first : int [1]
        Number of kinds of dimension in each part of the figure.

    Returns
    -------
    Figure [-]
        One bar chart for each quantity, cylinders taken together; the last bar is what acts together or with kinks.
    """
    fig, axes = style.figure(9.8, 4.8, columns=2, rows=2)
    for ax, (name, (words, _)) in zip(axes, accuracy.QUANTITIES.items(), strict=True):
        shares = sampling.by_kind(sampling.contributions(scatter.samples, scatter.values[f"{name}_peak"]))
        rest = shares.pop("together")
        if not np.any(scatter.values[f"{name}_peak"]):
            shares, words = {}, f"{words}: none in any machine"
        rows = [*list(shares.items())[:first], ("together", rest)]
        bars = ax.barh(range(len(rows)), [100 * share for _, share in rows], color=style.LIMIT["color"])
        bars[-1].set(color="#bbbbbb")
        style.rows(ax, [key.replace("_", " ") for key, _ in rows], "share of the variance, $s_v$ [%]", "",
                   f"peak {words}", xlim=(0, 50))
    return _below(fig, scatter)


def yield_curves(cases, thrust):
    """Share of machines that keep a limit, against the limit.

    Parameters
    ----------
    cases : dict of str to Scatter [-]
        Words to study.
    thrust : float [N]
        Peak side thrust of one ordinary piston on its bore.

    Returns
    -------
    Figure [-]
        Teeth, one guide, one bore.
    """
    fig, axes = style.figure(9.8, 3.6, columns=3)
    for ax, name in zip(axes, FORCES, strict=True):
        for (words, scatter), look in zip(cases.items(), LOOKS, strict=False):
            values = np.sort(scatter.values[f"{name}_peak"]) / 1e3
            ax.plot(values, 100.0 * np.arange(1, len(values) + 1) / len(values), label=words, **look)
        if name != "tooth":
            ax.axvline(thrust / 1e3, label="ordinary piston on bore", **{**style.ORDINARY, "linewidth": 1.4})
        style.label(ax, f"limit of the peak, ${SYMBOLS[name]}$ [kN]", "machines within the limit, $Y$ [%]",
                    accuracy.QUANTITIES[name][0], ylim=(0, 100), xlim=(0, None))
    style.legend(axes[2], beside=True, small=True)
    return _below(fig, next(iter(cases.values())))


def histograms(scatter, worst, thrust):
    """Peaks of all machines, with the perfect machine and the worst corner.

    Parameters
    ----------
    scatter : Scatter [-]
        A Monte Carlo study.
    worst : dict of str to Worst [-]
        From ``accuracy.worst_case``.
    thrust : float [N]
        Peak side thrust of one ordinary piston on its bore.

    Returns
    -------
    Figure [-]
        Teeth, one guide, one bore.
    """
    fig, axes = style.figure(9.8, 3.6, columns=3)
    for ax, name in zip(axes, FORCES, strict=True):
        key = f"{name}_peak"
        ax.hist(scatter.values[key] / 1e3, bins=24, color="#999999", label="machines")
        ax.axvline(scatter.nominal[key] / 1e3, color="black", linewidth=1.4, label="perfect machine")
        ax.axvline(worst[key].value / 1e3, label="worst corner found", **style.LIMIT)
        if name == "bore":
            ax.axvline(thrust / 1e3, label="ordinary piston on bore", **style.ORDINARY)
            ax.set_xlim(-0.02, None)
        style.label(ax, f"peak, ${SYMBOLS[name]}$ [kN]", "machines in a class, $n$ [1]", accuracy.QUANTITIES[name][0])
    style.legend(axes[2], beside=True, small=True)
    return _below(fig, scatter)


def paths(design, dimensions, count=4, seed=1, angles=361):
    """Path of the first crankpin of a perfect machine and of a few random ones.

    Parameters
    ----------
    design : Design [-]
        The design.
    dimensions : sequence of Dimension [-]
        What scatters.
    count : int [1]
        Number of random machines.
    seed : int [1]
        Seed; these are the first machines of the study with the same seed.
    angles : int [1]
        Angles over a cycle.

    Returns
    -------
    Figure [-]
        Left rigid parts without play: ellipses; right elastic parts with play. The scale across the line is stretched.
    """
    a, samples = Case(design, angles), sampling.sample(dimensions, count, seed)
    fig, axes = style.figure(9.8, 3.8, columns=2)
    along, phi = 1e3 * a.motion.position[0], a.angle - a.drive.bank_angle[0]
    for k in range(-1, count):
        values = {d.name: d.nominal if k < 0 else samples[d.name][k] for d in dimensions}
        elastic = accuracy.machines(a, values)
        rigid = elastic.carrier_error * np.sin(phi) + elastic.pin_offset(phi, 0.25 * a.drive.stroke, 0)
        _, found = share(elastic, a.drive, a.loads)
        across = flanks.pin_place(elastic, a.drive, a.angle, found)[0]
        look = {"color": "black", "linewidth": 2.0} if k < 0 else {**LOOKS[k % len(LOOKS)], "linewidth": 1.2}
        for ax, path in zip(axes, (rigid, across), strict=True):
            ax.plot(along, 1e6 * path, label="perfect" if k < 0 else f"machine {k + 1}", **look)
    for ax, words in zip(axes, ("rigid parts, no play", "elastic parts with play, loaded"), strict=True):
        ax.set(ylim=(-100, 100))
        style.label(ax, "along the line, $x$ [mm]", "across the line, $y$ [µm]", f"path of crankpin 1: {words}")
    style.legend(axes[0], small=True, ncols=2)
    return style.below(fig, f"{style.named(design)}; scale across the line stretched\n{a.basis}")


def sweeps(design, names, quantities, angles=181):
    """Peak and root mean square while one dimension goes from limit to limit and all others are nominal.

    Parameters
    ----------
    design : Design [-]
        The design.
    names : sequence of str [-]
        Dimensions, one part of the figure each.
    quantities : sequence of str [-]
        Results.
    angles : int [1]
        Angles over a cycle.

    Returns
    -------
    Figure [-]
        Each curve over its value in the perfect machine.
    """
    fig, axes = style.figure(9.8, 3.6, columns=len(names))
    for ax, name in zip(axes, names, strict=True):
        values, found = accuracy.sweep(design, name, angles=angles)
        edge, factor = ("mrad", 1e3) if "phase" in name or "angle" in name else ("µm", 1e6)
        for quantity in quantities:
            for kind, line in (("peak", "-"), ("rms", ":")):
                y = found[f"{quantity}_{kind}"]
                ax.plot(factor * values, y / y[len(y) // 2], label=f"{quantity}, {kind}",
                        **{**OF[quantity], "linestyle": line})
        words = name.replace("_", " ")
        style.label(ax, f"{words}, $d_e$ [{edge}]", "value over perfect machine, $r_v$ [1]", words)
    style.legend(axes[-1], beside=True, small=True)
    return style.below(fig, f"{style.named(design)}; all other dimensions nominal\n{Case(design, angles).basis}")


class ToleranceScene(SplitScene):
    """Live machine with errors and temperatures; every step of a slider solves it anew at 121 angles.

    Attributes
    ----------
    figure : Figure [-]
        The figure, with fixed axis limits.
    moving : list of Artist [-]
        Artists that change with the sliders.
    controls : tuple of Slider or Choice [-]
        What the reader may change.

    Parameters
    ----------
    design : Design [-]
        A two-cylinder engine with a pressure trace.
    """

    def __init__(self, design):
        super().__init__(design, 121, "path of crankpin 1, stretched")
        self._right.axhline(0.0, **style.QUIET, zorder=1.9)
        self._left.set(ylim=(-4, 7))
        self._right.set(ylim=(-160, 160))
        self._jam, self._off = view.Instead(self._left), np.pi / design.gear_pair.pinion_teeth
        self.moving[:0] = self._jam.artists
        self._draw_jam()

    def _turn(self, angle_deg):
        out = self._values["assembly"] == ONE_OUT
        super()._turn(angle_deg, self._astray(np.radians(angle_deg)) if out else 0.0)

    def _astray(self, angle):
        """How far each pin of a pinion one tooth out is from where it belongs."""
        drive, teeth = self._a.drive, self._a.design.gear_pair.pinion_teeth
        phi = angle - drive.bank_angle
        path = train.jam_path(drive.stroke, teeth, phi)
        return (path - 0.5 * drive.stroke * np.cos(phi)) * np.exp(1j * drive.bank_angle)

    def _change(self, guide_um, backlash_um, mismatch_um, rise, assembly):
        """Solve and show one choice.

        Parameters
        ----------
        guide_um : float [um]
            Radial clearance of the guides as made, at 20 C.
        backlash_um : float [um]
            Backlash as made.
        mismatch_um : float [um]
            Carrier radius less pin radius, e1 - e2.
        rise : float [K]
            Rise of the block above 20 C; the other parts rise in proportion, as in the running state of the design.
        assembly : str [-]
            ``as marked`` or ``one tooth out``; the latter jams, and the lines that its pins would follow are drawn.
        """
        a, heat = self._a, heat_of(self._a.design)
        made, gain = (warmed(a.elastic, a.design, scaled(heat, part)) for part in (0.0, rise / heat.block))
        elastic = replace(gain, guide_clearance=1e-6 * guide_um + gain.guide_clearance - made.guide_clearance,
                          backlash=1e-6 * backlash_um + gain.backlash - made.backlash,
                          carrier_error=1e-6 * mismatch_um)
        self._jam.show(assembly == ONE_OUT)
        if assembly == ONE_OUT:
            self._show_jam(elastic)
            return
        forces = self._solve(elastic)
        self._text.set_text("\n".join([
            f"guide {guide_um:g} µm, backlash {backlash_um:.0f} µm, e1 - e2 {mismatch_um:+.0f} µm, "
            f"block +{rise:.0f} K",
            self._line("peaks: ", map(peak, forces)),
            self._line("rms:   ", map(rms, forces)),
        ]))

    def _draw_jam(self):
        """Lines that the pins should follow and those that they would follow, true to scale, made once."""
        a, ax = self._a, self._jam.ax
        for k, bank in enumerate(a.drive.bank_angle):
            line = 0.5e3 * a.drive.stroke * np.exp(1j * bank) * np.array([-1.0, 1.0])
            for points, words, look in ((line, "line of the cylinder", {**style.QUIET, "linewidth": 1.6}),
                                        (line * np.exp(1j * self._off), "line of its pin", style.LIMIT)):
                ax.plot(*drawing.xy(points), label=None if k else words, **look)
        style.label(ax, "across the V, $X$ [mm]", "along its middle, $Y$ [mm]")
        ax.yaxis.labelpad = 0.0
        ax.set_aspect("equal", "datalim")
        style.legend(ax, small=True, loc="upper center")

    def _show_jam(self, elastic):
        """No forces: how far the pins are off at best, beside all the play there is."""
        a, teeth = self._a, self._a.design.gear_pair.pinion_teeth
        off = np.abs([train.jam_path(a.drive.stroke, teeth, a.angle - bank).imag for bank in a.drive.bank_angle])
        play = elastic.guide_clearance + elastic.bearing_clearance + elastic.pin_clearance
        self._loads = Loads(a.angle, {"gas": 0.0 * off}, "jammed")
        path = train.jam_path(a.drive.stroke, teeth, a.angle - a.drive.bank_angle[0])
        self._draw([np.full(len(a.angle), np.nan)] * len(self._lines), path)
        self._text.set_text(f"one tooth out: the lines are turned by {180.0 / teeth:.2f} deg. At every angle a pin is\n"
                            f"{1e3 * off.max(axis=0).min():.1f} mm off or more; plays of guide, bearings and pin leave "
                            f"{1e6 * float(play):.1f} µm:\nit jams, and there are no forces to show.")


def warm_up(design, rises):
    """Clearances and forces of the perfect machine from 20 C to its running state, for blocks of two materials.

    Parameters
    ----------
    design : Design [-]
        The design.
    rises : (R,) array [K]
        Rise of the block; the other parts rise in proportion. The oil stays as it runs.

    Returns
    -------
    Figure [-]
        Left radial clearances with the block of aluminium; right peak forces with a block of aluminium and of iron.
    """
    a = Case(design, 121)
    pattern = heat_of(a.design)
    fig, (left, right) = style.figure(9.8, 3.8, columns=2)
    looks = dict(zip(("bore_clearance", "bearing_clearance", "guide_clearance", "pin_clearance"), LOOKS, strict=True))
    machines = {m: warmed(a.elastic, a.design, scaled(replace(pattern, block_material=m), rises / pattern.block))
                for m in ("aluminium", "grey iron")}
    for name, look in looks.items():
        words = {"pin": "crankpin", "bearing": "crank and carrier", "bore": "piston"}.get(name[:-10], name[:-10])
        left.plot(rises, 1e6 * getattr(machines["aluminium"], name), label=words, **look)
    for material, line in (("aluminium", "-"), ("grey iron", ":")):
        found = accuracy.evaluate(a, machines[material], len(rises))
        for name in FORCES:
            right.plot(rises, from_si(found[f"{name}_peak"], "kN"),
                       label=f"{name}, {material}", **{**OF[name], "linestyle": line})
    right.axhline(np.abs(a.ordinary_loads["bore"]).max() / 1e3, label="ordinary piston on bore", **style.ORDINARY)
    rise, top = "block above assembly, $\\Delta T$ [K]", 1.3 * left.get_ylim()[1]
    style.label(left, rise, "radial clearance, $c$ [µm]", "aluminium block", ylim=(0, top))
    style.label(right, rise, "peak force, $F_t$, $N$, $N_b$ [kN]", "block material", ylim=(0, None))
    style.legend(left, small=True, loc="upper right", ncols=2)
    style.legend(right, beside=True, small=True)
    return style.below(fig, f"{style.named(design)}, perfect machine; comparison: {SAME_TRACE}; {a.load_case}")


def _below(fig, scatter):
    count = len(scatter.values["tooth_peak"])
    return style.below(fig, f"{count} machines, {scatter.angles} angles; comparison: {SAME_TRACE}\n{scatter.basis}")
