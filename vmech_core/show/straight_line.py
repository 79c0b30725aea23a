"""Figures and the live scene of notebook 01: two rolling circles, the path of the pin, its distance from the line."""

import numpy as np

from vmech_core.machine.train import pin_path
from vmech_core.show import drawing, style
from vmech_core.show.controls import Slider

TURNS, MARKS = 4, 12  # of the carrier that the path shows; on the rim of the rolling circle


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

    controls = (Slider("tooth_ratio", "tooth ratio", 1.5, 4.0, step=0.05, value=2.0),
                Slider("pin_share", "pin radius / pitch radius", 0.2, 1.6, step=0.02, value=1.0),
                Slider("phase_deg", "phase error", -30.0, 30.0, step=0.5, value=0.0, unit="deg"),
                Slider("bank_deg", "bank angle", -90.0, 90.0, step=1.0, value=0.0, unit="deg"),
                Slider("angle_deg", "carrier angle", 0.0, 360.0, step=1.0, value=40.0, unit="deg", cyclic=True))

    def __init__(self, stroke_mm=80.0):
        self.stroke_mm = stroke_mm
        self.figure, (left, right) = style.figure(9.6, 4.6, columns=2, ratios=[1.0, 1.15])
        self._set_left(left, 0.8 * stroke_mm)
        self._set_right(right, 0.98 * stroke_mm)
        self._ready([self._line, self._path, *self._parts.values(), self._along, self._across, self._now, self._text])

    def update(self, angle_deg=40.0, tooth_ratio=2.0, pin_share=1.0, phase_deg=0.0, bank_deg=0.0):
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
        for name, outline in parts.items():
            self._parts[name].set_data(outline.real, outline.imag)
        path = _rolling_path(ring, tooth_ratio, pin_radius, phase, bank, TURNS)
        self._path.set_data(path.real, path.imag)
        line = 1.12 * ring * np.exp(1j * bank) * np.array([-1.0, 1.0])
        self._line.set_data(line.real, line.imag)
        turn = _rolling_path(ring, tooth_ratio, pin_radius, phase, bank) * np.exp(-1j * bank)
        self._along.set_ydata(turn.real)
        self._across.set_ydata(turn.imag)
        now = parts["pin"][0] * np.exp(-1j * bank)
        self._now.set_data([angle_deg] * 2, [now.real, now.imag])
        error = np.abs(turn.imag).max()
        self._text.set_text(f"tooth ratio {tooth_ratio:.2f}, pin radius {pin_share:.2f} of pitch radius,\n"
                            f"phase error {phase_deg:.1f}°, bank angle {bank_deg:.0f}°, carrier at {angle_deg:.0f}°:\n"
                            f"farthest from the line {error if error > 5e-10 else 0.0:.2f} mm")

    def _set_left(self, ax, limit):
        ax.set(xlim=(-limit, limit), ylim=(-1.28 * limit, limit), aspect="equal")
        style.label(ax, "place, $x$ [mm]", "place, $y$ [mm]", "the pinion rolls inside the ring")
        rim = 0.5 * self.stroke_mm * drawing.CIRCLE
        ax.plot(rim.real, rim.imag, color="black", linewidth=1.6)
        ax.plot(0, 0, "k+", markersize=9)
        (self._line,) = ax.plot([], [], **style.QUIET)
        (self._path,) = ax.plot([], [], color=style.LIMIT["color"], linewidth=1.2, label="path of P")
        looks = {"rolling circle": {"color": "#555555", "linewidth": 1.3},
                 "carrier arm": {"color": "#CC79A7", "linewidth": 4.0, "label": "carrier, O to C"},
                 "crank arm": {"color": style.CRANK, "linewidth": 4.0, "label": "crank, C to P"},
                 "pin": {"color": "black", "marker": "o", "markersize": 9, "linestyle": "none", "label": "crankpin P"}}
        self._parts = {name: ax.plot([], [], **look)[0] for name, look in looks.items()}
        style.legend(ax, loc="lower center", ncols=2, columnspacing=1.0, handlelength=1.5)

    def _set_right(self, ax, limit):
        ax.set(xlim=(0, 360), ylim=(-1.1 * limit, limit), xticks=range(0, 361, 60))
        title = "along the cylinder line and across it"
        style.label(ax, "carrier angle, $\\theta$ [deg]", "place of the pin, $P$ [mm]", title)
        angle, dashed = np.linspace(0.0, 360.0, 721), {"color": "black", "linestyle": "--", "linewidth": 2.0}
        (self._along,) = ax.plot(angle, 0 * angle, color=style.LIMIT["color"], linewidth=2.0, label="along the line")
        (self._across,) = ax.plot(angle, 0 * angle, label="across the line", **dashed)
        (self._now,) = ax.plot([], [], "ko", markersize=6)
        style.legend(ax, loc="upper right", ncols=2)
        self._text = style.Readout(ax, 0.02, 0.135)


def _rolling_circles(angle, ring_radius, tooth_ratio, pin_radius, phase, bank_angle):
    """Outlines of the rolling circle with marks that show its turning, of both arms and of the pin, by name."""
    pinion = ring_radius / tooth_ratio
    arm = ring_radius - pinion
    centre = arm * np.exp(1j * angle)
    pin = pin_path(angle, arm, pin_radius, tooth_ratio, phase, bank_angle)
    turned = bank_angle + (1.0 - tooth_ratio) * (angle - bank_angle)
    turn = np.exp(1j * (turned + 2.0 * np.pi * np.arange(MARKS) / MARKS))
    ticks = np.stack([centre + 0.9 * pinion * turn, centre + pinion * turn, np.full(MARKS, drawing.UP)], axis=-1)
    return {"rolling circle": np.concatenate([centre + pinion * drawing.CIRCLE, [drawing.UP], ticks.ravel()]),
            "carrier arm": np.array([0.0, centre]), "crank arm": np.array([centre, pin]), "pin": np.array([pin])}


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
        radius = carrier_mm + error
        path = _rolling_path(2.0 * carrier_mm, 2.0, radius, np.radians(phase_deg))
        ax.plot(path.real, path.imag, **look, label=f"pin radius {error:+.2f} mm")
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
        wheel = carrier_mm * (np.exp(1j * angle) + drawing.CIRCLE)
        corner = [0.0, pin_path(angle, carrier_mm, carrier_mm, bank_angle=bank), ring * np.exp(1j * angle), 0.0]
        ax.plot(rim.real, rim.imag, "k-", linewidth=1.4)
        ax.plot(wheel.real, wheel.imag, color="#555555", linewidth=1.2)
        ax.plot(line.real, line.imag, **style.QUIET)
        ax.plot(np.real(corner), np.imag(corner), marker="o", markersize=4, color=style.CRANK, linewidth=2.0)
        away = (-corner[2], corner[1] - corner[2], corner[2])
        for name, point, way in zip("OPI", corner, away, strict=False):
            shift = 10.0 * way / abs(way)
            ax.annotate(name, (np.real(point), np.imag(point)), textcoords="offset points",
                        xytext=(shift.real, shift.imag), fontsize=style.FONT + 1, ha="center", va="center")
        ax.set(aspect="equal", xlim=(-1.3 * ring, 1.3 * ring), ylim=(-1.3 * ring, 1.3 * ring))
        style.label(ax, "place, $x$ [mm]", "place, $y$ [mm]" if ax is axes[0] else "", f"$\\theta$ = {angle_deg:g}°")
    return fig
