"""Figures and the live scene of notebook 03: travel, velocity and acceleration of both mechanisms, harmonics, dwell."""

import numpy as np

from vmech_core.base.units import show
from vmech_core.machine import hypocycloid, slider_crank, waveform
from vmech_core.show import style

KIND = "comparison: motion only: same bore, stroke and speed"
ANGLE = np.linspace(0.0, 2.0 * np.pi, 360, endpoint=False)
DEGREES = np.linspace(0.0, 360.0, 361)
NEAR = 0.01  # share of the stroke within which the scene counts a piston as dwelling
#: Looks of several rod ratios, darkest for the shortest rod; a line style and a marker besides the colour.
RODS = tuple({"color": color, "linestyle": line, "linewidth": 1.6} for color, line in (
    ("#8C2D04", "--"), ("#D55E00", (0, (5, 1))), ("#E69F00", "-."), ("#C7A76C", ":")))


def _straight(stroke, speed, angle=ANGLE):
    """Motion of one piston of the straight-line drive, outer dead centre at angle 0."""
    return hypocycloid.motion(hypocycloid.one_cylinder(stroke, speed), angle)


def _ordinary(stroke, rod_ratio, speed, wrist_pin_offset=0.0, angle=ANGLE):
    """The same of the ordinary crank."""
    return slider_crank.motion(slider_crank.one_cylinder(stroke, rod_ratio, speed, wrist_pin_offset), angle)


def _all(stroke, speed, rod_ratios, angle=ANGLE):
    """Names and motions, the straight-line drive first."""
    ordinary = [(f"rod ratio {ratio:g}", _ordinary(stroke, ratio, speed, angle=angle)) for ratio in rod_ratios]
    return [("straight line", _straight(stroke, speed, angle)), *ordinary]


def curves(stroke, speed, rod_ratios):
    """Travel, velocity and acceleration over one turn, the straight-line drive beside ordinary cranks.

    Parameters
    ----------
    stroke : float [m]
        Stroke.
    speed : float [rad/s]
        Speed of carrier and crank.
    rod_ratios : list of float [1]
        Rod ratios, up to four.

    Returns
    -------
    Figure [-]
        Above the three quantities, below what each has more than the sinusoid of the straight-line drive.
    """
    fig, axes = style.figure(9.6, 6.2, columns=3, rows=2)
    found = _all(stroke, speed, rod_ratios, np.radians(DEGREES))
    drawn = [((m.position[0, 0] - m.position[0]) * 1e3, m.velocity[0], m.acceleration[0] / 1e3) for _, m in found]
    for (words, _), values, look in reversed(list(zip(found, drawn, (style.STRAIGHT, *RODS), strict=False))):
        for k, (value, sinusoid) in enumerate(zip(values, drawn[0], strict=True)):
            axes[k].plot(DEGREES, value, label=words, **look)
            axes[k + 3].plot(DEGREES, value - sinusoid, **look)
    names = ("travel, $s$ [mm]", "outward velocity, $\\dot x$ [m/s]", "outward acceleration, $\\ddot x$ [km/s$^2$]",
             "travel less sinusoid, $\\Delta s$ [mm]", "velocity less sinusoid, $\\Delta\\dot x$ [m/s]",
             "acceleration less sinusoid, $\\Delta\\ddot x$ [km/s$^2$]")
    for ax, words in zip(axes, names, strict=True):
        style.over_cycle(ax, DEGREES, words, horizontal="angle after outer d.c., $\\varphi$ [deg]")
    style.legend_above(fig, axes[0], columns=5, order=-1)
    return _signed(fig, stroke, speed)


def peaks(stroke, speed, rod_ratios):
    """Accelerations at the dead centres, top speed and root mean square of the acceleration, as lines of text.

    Parameters
    ----------
    stroke : float [m]
        Stroke.
    speed : float [rad/s]
        Speed of carrier and crank.
    rod_ratios : list of float [1]
        Rod ratios of ordinary cranks without offset.

    Returns
    -------
    str [-]
        A line for the straight-line drive and one for each rod ratio.
    """
    lines = [f"{'':13}{'outer [m/s²]':>14}{'inner [m/s²]':>14}{'top speed [m/s]':>17}{'rms [m/s²]':>12}"]
    for name, motion in _all(stroke, speed, rod_ratios):
        pull, middle = motion.acceleration[0], motion.angle.size // 2
        numbers = (show(-pull[0]), show(pull[middle]), show(motion.velocity.max()), show(np.sqrt(np.mean(pull**2))))
        lines.append(f"{name:13}" + "".join(f"{n:>{w}}" for n, w in zip(numbers, (14, 14, 17, 12), strict=True)))
    return "\n".join(lines)


def harmonic_bars(stroke, speed, rod_ratios, orders=(1, 2, 4, 6)):
    """Amplitudes of the harmonics of the acceleration, on a logarithmic scale.

    Parameters
    ----------
    stroke : float [m]
        Stroke.
    speed : float [rad/s]
        Speed of carrier and crank.
    rod_ratios : list of float [1]
        Rod ratios, up to four.
    orders : tuple of int [1]
        Orders that are shown.

    Returns
    -------
    Figure [-]
        A group of bars for each order; a bar below the scale is left out.
    """
    fig, (ax,) = style.figure(8.6, 3.6)
    unit, found = 0.5 * stroke * speed**2, _all(stroke, speed, rod_ratios)
    wide, places = 0.8 / len(found), np.arange(len(orders))
    looks = zip(found, (style.STRAIGHT, *RODS), ("", "//", "..", "\\\\", "xx"), strict=False)
    for k, ((words, motion), look, hatch) in enumerate(looks):
        size = np.abs(waveform.harmonics(motion.acceleration[0], orders)) / unit
        ax.bar(places + (k + 0.5) * wide - 0.4, np.where(size > 1e-12, size, np.nan), wide, label=words,
               color=look["color"], hatch=hatch, edgecolor="white")
    style.label(ax, "order, $n$ [1]", "amplitude of the acceleration, $|c_n|/(r\\omega^2)$ [1]",
                yscale="log", ylim=(1e-6, 3.0), xticks=places, xticklabels=orders)
    style.legend(ax, loc="upper right")
    return _signed(fig, stroke, speed)


def convergence(rod_ratios, position_error, acceleration_error):
    """How the ordinary crank's motion nears the sinusoid as its rod grows, with the closed limits beside it.

    Parameters
    ----------
    rod_ratios : (N,) array [1]
        Rod ratios.
    position_error : (N,) array [1]
        Largest difference of the position, over the crank radius.
    acceleration_error : (N,) array [1]
        Largest difference of the acceleration, over crank radius times speed squared.

    Returns
    -------
    Figure [-]
        Double logarithmic drawing; lines are the leading terms, markers the computed differences.
    """
    fig, (ax,) = style.figure(8.6, 3.5)
    ax.plot(rod_ratios, 1.0 / rod_ratios, label="leading term, $r/L$", **style.LIMIT)
    ax.plot(rod_ratios, 0.5 / rod_ratios, label="leading term, $r/(2L)$", **style.QUIET)
    looks = {"linestyle": "none", "markersize": 6, "color": style.ORDINARY["color"]}
    ax.plot(rod_ratios, acceleration_error, marker="o", label="acceleration, over $r\\omega^2$", **looks)
    ax.plot(rod_ratios, position_error, marker="s", fillstyle="none", label="position, over $r$", **looks)
    style.label(ax, "rod ratio, $L/r$ [1]", "largest difference to the straight line, $\\Delta$ [1]",
                xscale="log", yscale="log")
    style.legend(ax)
    return style.below(fig, KIND)


def dwells(rod_ratios, shares):
    """Dwell at both dead centres against the rod ratio, for a few shares of the stroke.

    Parameters
    ----------
    rod_ratios : (N,) array [1]
        Rod ratios.
    shares : tuple of float [1]
        Shares of the stroke, one drawing each.

    Returns
    -------
    Figure [-]
        The ordinary crank's two curves and the level of the straight-line drive.
    """
    fig, axes = style.figure(9.6, 3.4, columns=len(shares))
    position = _ordinary(1.0, rod_ratios, 1.0).position[:, 0]
    for ax, share in zip(axes, shares, strict=True):
        outer, inner = (np.degrees(end) for end in waveform.dwell(ANGLE, position, share))
        level = np.degrees(2.0 * np.arccos(1.0 - 2.0 * share))
        ax.plot(rod_ratios, inner, label="ordinary, inner dead centre", **style.ORDINARY)
        ax.plot(rod_ratios, outer, label="ordinary, outer dead centre", **{**style.ORDINARY, "linestyle": "-."})
        ax.plot(rod_ratios, np.full(len(rod_ratios), level), label="straight line, both", **style.STRAIGHT)
        style.label(ax, "rod ratio, $L/r$ [1]", "dwell, $\\Delta\\varphi$ [deg]", f"within {100 * share:g} % of stroke",
                    xlim=(rod_ratios[0], rod_ratios[-1]), ylim=(0.0, 1.7 * level))
        style.legend(ax, loc="lower right")
    return style.below(fig, KIND)


def _signed(fig, stroke, speed):
    """Write size, speed and kind of comparison under a figure."""
    return style.below(fig, f"stroke {show(stroke * 1e3)} mm, {show(30.0 * speed / np.pi)} rev/min; {KIND}")


#: Where the curves of the live scene get a scale with a unit: travel, velocity, acceleration, relative.
SCALE = ((0.0, 0.5, 1.0), (-1.0, 0.0, 1.0), (-1.0, 0.0, 1.0))
NAMES = ("travel over stroke, $s/S$ [1]", "velocity, $\\dot x/(\\omega S/2)$ [1]",
         "acceleration, $\\ddot x/(\\omega^2 S/2)$ [1]")


class MotionScene(style.Scene):
    """A picture whose artists are made once: travel, velocity, acceleration of both mechanisms, and a table.

    The curves are relative to stroke and speed, so that the axes can stay fixed; the scales on the right of the curves
    and the table follow stroke and speed.

    Attributes
    ----------
    figure : Figure [-]
        The figure, with fixed axes limits.
    moving : list of Artist [-]
        Artists that change with the sliders.
    controls : tuple of Slider [-]
        What the reader may change.
    """

    def __init__(self):
        self.figure, axes = style.figure(9.6, 5.4, columns=2, rows=2)
        self._pairs, both = [], (("ordinary crank", style.ORDINARY), ("straight line", style.STRAIGHT))
        for ax, words, limits in zip(axes, NAMES, ((-0.05, 1.05), (-1.5, 1.5), (-1.8, 1.8)), strict=False):
            style.label(ax, style.AFTER, words, xlim=(0, 360), ylim=limits, xticks=range(0, 361, 60))
            self._pairs.append(self._curves(ax, DEGREES, both))
        style.legend(axes[0], loc="lower center")
        axes[3].axis("off")
        self._scales = [[style.Readout(ax, 1.01, self._height(ax, place) + 0.028) for place in places]
                        for ax, places in zip(axes, SCALE, strict=False)]
        self._text = style.Readout(axes[3], 0.0, 0.98)
        self.figure.get_layout_engine().set(wspace=0.12, rect=(0.0, 0.0, 0.93, 1.0))
        self._ready([*sum(self._pairs, []), *sum(self._scales, []), self._text])

    def _change(self, rod_ratio, offset_mm, stroke_mm, speed_rpm):
        """Move the curves to new slider values.

        Parameters
        ----------
        rod_ratio : float [1]
            Rod length over crank radius of the ordinary crank.
        offset_mm : float [mm]
            Lateral place of its cylinder line.
        stroke_mm : float [mm]
            Stroke of both.
        speed_rpm : float [rpm]
            Speed of both.
        """
        stroke, speed = stroke_mm / 1e3, np.pi * speed_rpm / 30.0
        both = _straight(stroke, speed), _ordinary(stroke, rod_ratio, speed, offset_mm / 1e3)
        for column, motion in zip((1, 0), both, strict=True):
            relative = ((motion.position[0, 0] - motion.position[0]) / stroke,
                        motion.velocity[0] / (0.5 * stroke * speed), motion.acceleration[0] / (0.5 * stroke * speed**2))
            for pair, values in zip(self._pairs, relative, strict=True):
                pair[column].set_ydata(np.append(values, values[0]))
        whole = (1e3 * stroke, "mm"), (0.5 * stroke * speed, "m/s"), (0.5 * stroke * speed**2, "m/s²")
        for texts, places, (unit_value, unit) in zip(self._scales, SCALE, whole, strict=True):
            for text, place in zip(texts, places, strict=True):
                text.set_text(f"{show(place * unit_value, figures=3)} {unit}")
        head = f"stroke {stroke_mm:g} mm, {speed_rpm:g} rev/min\n"
        head += f"rod ratio {rod_ratio:g}, wrist-pin offset {offset_mm:g} mm"
        self._text.set_text(f"{head}\n\n{_table(*both)}\n\nmotion only: same bore, stroke and speed")

    @staticmethod
    def _height(ax, place):
        """Where a value of the axis lies, 0 at the bottom to 1 on top."""
        low, high = ax.get_ylim()
        return (place - low) / (high - low)


def _table(straight, ordinary):
    """Numbers of two motions side by side as lines of text, one for each quantity."""
    columns = [_numbers(motion) for motion in (straight, ordinary)]
    head = f"{'':<27}{'straight':>10}{'ordinary':>10}"
    return "\n".join([head, *(f"{name:<27}{columns[0][name]:>10}{columns[1][name]:>10}" for name in columns[0])])


def _numbers(motion):
    position, acceleration = motion.position[0], motion.acceleration[0]
    outer, inner = np.degrees(waveform.dwell(motion.angle, position, NEAR))
    second = abs(waveform.harmonics(acceleration, [2])[0])
    return {"top speed         [m/s]": show(np.abs(motion.velocity).max()),
            "acc., outer d.c.  [m/s²]": show(-acceleration[0]), "acc., inward max  [m/s²]": show(acceleration.max()),
            "acc., 2nd order   [m/s²]": show(second if second > 1e-9 * np.abs(acceleration).max() else 0.0),
            f"dwell outer {100 * NEAR:g} %   [deg]": show(outer), f"dwell inner {100 * NEAR:g} %   [deg]": show(inner),
            "outer to inner    [deg]": show(np.degrees(motion.angle[position.argmin()]))}
