"""Figures and the live scene of notebook 01: two rolling circles, the path of the pin, its distance from the line."""

import numpy as np

from vmech_core.machine.train import pin_path
from vmech_core.show import drawing, style

TURNS, MARKS = 4, 12  # of the carrier that the path shows; on the rim of the rolling circle
#: Looks of rolling circle, carrier, crank and pin.
PARTS = ({"color": "#555555", "linewidth": 1.3}, {"color": "#CC79A7", "linewidth": 4.0, "label": "carrier, O to C"},
         {"color": style.CRANK, "linewidth": 4.0, "label": "crank, C to P"},
         {"color": "black", "marker": "o", "markersize": 9, "linestyle": "none", "label": "crankpin P"})


class StraightLineScene(style.Scene):
    """A picture whose artists are made once: the rolling circles on the left, along and across the line on the right.

    Attributes
    ----------
    figure : Figure [-]
        The figure, with fixed axes limits.
    moving : list of Artist [-]
        Artists that change with the sliders.
    controls : tuple of Slider [-]
        What the reader may change.
    stroke_mm : float [mm]
        Stroke of the ideal drive that the ring belongs to.
    """

    def __init__(self, stroke_mm=80.0):
        self.stroke_mm = stroke_mm
        self.figure, (left, right) = style.figure(9.6, 4.6, columns=2, ratios=[1.0, 1.15])
        limit, high = 0.8 * stroke_mm, 0.98 * stroke_mm
        style.label(left, "place, $x$ [mm]", "place, $y$ [mm]", "the pinion rolls inside the ring",
                    xlim=(-limit, limit), ylim=(-1.28 * limit, limit), aspect="equal")
        left.plot(*drawing.xy(0.5 * stroke_mm * drawing.CIRCLE), color="black", linewidth=1.6)
        left.plot(0, 0, "k+", markersize=9)
        (self._line,) = left.plot([], [], **style.QUIET)
        (self._path,) = left.plot([], [], color=style.LIMIT["color"], linewidth=1.2, label="path of P")
        self._parts = [left.plot([], [], **look)[0] for look in PARTS]
        style.legend(left, loc="lower center", ncols=2, columnspacing=1.0, handlelength=1.5)
        style.label(right, "carrier angle, $\\theta$ [deg]", "place of the pin, $P$ [mm]",
                    "along the cylinder line and across it", xlim=(0, 360), ylim=(-1.1 * high, high),
                    xticks=range(0, 361, 60))
        self._turned = self._curves(right, np.linspace(0.0, 360.0, 721), (
            ("along the line", {"color": style.LIMIT["color"], "linewidth": 2.0}),
            ("across the line", {"color": "black", "linestyle": "--", "linewidth": 2.0})))
        (self._now,) = right.plot([], [], "ko", markersize=6)
        style.legend(right, loc="upper right", ncols=2)
        self._text = style.Readout(right, 0.02, 0.135)
        self._ready([self._line, self._path, *self._parts, *self._turned, self._now, self._text])

    def _change(self, angle_deg, tooth_ratio, pin_share, phase_deg, bank_deg):
        """Move every artist to new slider values.

        Parameters
        ----------
        angle_deg : float [deg]
            Carrier angle.
        tooth_ratio : float [1]
            Ring teeth over pinion teeth.
        pin_share : float [1]
            Pin radius over pinion pitch radius.
        phase_deg : float [deg]
            Error of the pin's angular place on the crank.
        bank_deg : float [deg]
            Bank angle.
        """
        ring, bank, phase = 0.5 * self.stroke_mm, np.radians(bank_deg), np.radians(phase_deg)
        pin_radius = pin_share * ring / tooth_ratio
        parts = _rolling_circles(np.radians(angle_deg), ring, tooth_ratio, pin_radius, phase, bank)
        line = 1.12 * ring * np.exp(1j * bank) * np.array([-1.0, 1.0])
        path = _rolling_path(ring, tooth_ratio, pin_radius, phase, bank, TURNS)
        self._move([*self._parts, self._path, self._line], [*parts, path, line])
        turn = _rolling_path(ring, tooth_ratio, pin_radius, phase, bank) * np.exp(-1j * bank)
        self._move(self._turned, (turn.real, turn.imag))
        now = parts[-1][0] * np.exp(-1j * bank)
        self._now.set_data([angle_deg] * 2, [now.real, now.imag])
        error = np.abs(turn.imag).max()
        self._text.set_text(f"tooth ratio {tooth_ratio:.2f}, pin radius {pin_share:.2f} of pitch radius,\n"
                            f"phase error {phase_deg:.1f}°, bank angle {bank_deg:.0f}°, carrier at {angle_deg:.0f}°:\n"
                            f"farthest from the line {error if error > 5e-10 else 0.0:.2f} mm")


def _rolling_circles(angle, ring_radius, tooth_ratio, pin_radius, phase, bank_angle):
    """Outlines of the rolling circle with marks that show its turning, of both arms and of the pin, by name."""
    pinion = ring_radius / tooth_ratio
    arm = ring_radius - pinion
    centre = arm * np.exp(1j * angle)
    pin = pin_path(angle, arm, pin_radius, tooth_ratio, phase, bank_angle)
    turned = bank_angle + (1.0 - tooth_ratio) * (angle - bank_angle)
    turn = np.exp(1j * (turned + 2.0 * np.pi * np.arange(MARKS) / MARKS))
    ticks = np.stack([centre + 0.9 * pinion * turn, centre + pinion * turn, np.full(MARKS, drawing.UP)], axis=-1)
    return (np.concatenate([centre + pinion * drawing.CIRCLE, [drawing.UP], ticks.ravel()]),
            np.array([0.0, centre]), np.array([centre, pin]), np.array([pin]))


def _rolling_path(ring_radius, tooth_ratio, pin_radius, phase=0.0, bank_angle=0.0, turns=1):
    """Path of the pin over some turns of the carrier."""
    angle = np.linspace(0.0, 2.0 * np.pi * turns, 721)
    return pin_path(angle, ring_radius - ring_radius / tooth_ratio, pin_radius, tooth_ratio, phase, bank_angle)


def ellipses(carrier_mm, errors_mm, phase_deg=0.0):
    """Paths of pins whose radius is off by a few errors, drawn along and across the line.

    Parameters
    ----------
    carrier_mm : float [mm]
        Carrier radius.
    errors_mm : list of float [mm]
        Pin radius minus carrier radius.
    phase_deg : float [deg]
        Phase error of all pins.

    Returns
    -------
    Figure [-]
        Along the line to the right, across it upward on a stretched scale.
    """
    fig, (ax,) = style.figure(9.0, 3.2)
    for error, look in zip(errors_mm, (style.OTHERS[2], *style.OTHERS[:2], style.OTHERS[3]), strict=False):
        path = _rolling_path(2.0 * carrier_mm, 2.0, carrier_mm + error, np.radians(phase_deg))
        ax.plot(*drawing.xy(path), **look, label=f"pin radius {error:+.2f} mm")
    title = f"carrier radius {carrier_mm:g} mm, phase error {phase_deg:g}°"
    style.label(ax, "along the line, $x$ [mm]", "across the line, $y$ [mm]", title)
    style.legend(ax, beside=True)
    return fig


def instant_centre(carrier_mm, angles_deg, bank_deg):
    """Triangles of main axis, pin and contact point at a few carrier angles.

    Parameters
    ----------
    carrier_mm : float [mm]
        Carrier radius.
    angles_deg : list of float [deg]
        Carrier angles, one drawing each.
    bank_deg : float [deg]
        Bank angle.

    Returns
    -------
    Figure [-]
        One small drawing per angle.
    """
    fig, axes = style.figure(9.6, 3.0, columns=len(angles_deg))
    ring, bank = 2.0 * carrier_mm, np.radians(bank_deg)
    rim, line = ring * drawing.CIRCLE, 1.1 * ring * np.exp(1j * bank) * np.array([-1.0, 1.0])
    for ax, angle_deg in zip(axes, angles_deg, strict=True):
        angle = np.radians(angle_deg)
        corner = [0.0, pin_path(angle, carrier_mm, carrier_mm, bank_angle=bank), ring * np.exp(1j * angle), 0.0]
        ax.plot(*drawing.xy(rim), "k-", linewidth=1.4)
        ax.plot(*drawing.xy(carrier_mm * (np.exp(1j * angle) + drawing.CIRCLE)), color="#555555", linewidth=1.2)
        ax.plot(*drawing.xy(line), **style.QUIET)
        ax.plot(*drawing.xy(corner), marker="o", markersize=4, color=style.CRANK, linewidth=2.0)
        away = (-corner[2], corner[1] - corner[2], corner[2])
        for name, point, way in zip("OPI", corner, away, strict=False):
            ax.annotate(name, drawing.xy(point), textcoords="offset points", xytext=drawing.xy(10.0 * way / abs(way)),
                        fontsize=style.FONT + 1, ha="center", va="center")
        style.label(ax, "place, $x$ [mm]", "place, $y$ [mm]" if ax is axes[0] else "", f"$\\theta$ = {angle_deg:g}°",
                    aspect="equal", xlim=(-1.3 * ring, 1.3 * ring), ylim=(-1.3 * ring, 1.3 * ring))
    return fig
