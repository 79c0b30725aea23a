"""Write the invented pressure traces of the demo designs, each by the formula that stands in its function.

Run from the repository folder: ``python data/make_traces.py``. Nothing here is measured. Angle 0 is the firing dead
centre (engine) or the outer dead centre that ends delivery (pump, compressor). Volumes follow the straight-line
drive's sinusoid, V = Vc + Vs (1 - cos(angle)) / 2; pressures are absolute.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np

FOLDER = Path(__file__).parent


def relative_volume(angle_deg, clearance_ratio):
    """Cylinder volume over swept volume."""
    return clearance_ratio + 0.5 * (1.0 - np.cos(np.radians(angle_deg)))


def four_stroke_engine(clearance_ratio=0.125, intake=0.95, exhaust=1.08, pressure_rise=3.7):
    """Two polytropes blended by an S-shaped burn from -22 to 38 degrees; blow-down is a half cosine.

    Compression n = 1.32 from ``intake`` at inner dead centre; expansion n = 1.27 through ``pressure_rise`` times the
    compression pressure at the dead centre; burn fraction 1 - exp(-5 x^3); exhaust opens 45 degrees before the inner
    dead centre and falls over 70 degrees.
    """
    angle = np.arange(0.0, 721.0, 1.0)
    turned = np.where(angle > 360.0, angle - 720.0, angle)  # -360..360, firing at 0
    volume, inner, outer = relative_volume(turned, clearance_ratio), 1.0 + clearance_ratio, clearance_ratio
    squeeze = intake * (inner / volume) ** 1.32
    stretch = pressure_rise * intake * (inner / outer) ** 1.32 * (outer / volume) ** 1.27
    burn = 1.0 - np.exp(-5.0 * np.clip((turned + 22.0) / 60.0, 0.0, 1.0) ** 3)
    closed = (1.0 - burn) * squeeze + burn * stretch
    open_share = 0.5 - 0.5 * np.cos(np.pi * np.clip((turned - 135.0) / 70.0, 0.0, 1.0))
    breathing = np.where(turned > 0.0, exhaust, intake)
    pressure = np.where(
        turned > 0.0, (1.0 - open_share) * closed + open_share * exhaust, np.where(turned < -180.0, breathing, closed)
    )
    swap = np.clip((np.abs(turned) - 340.0) / 20.0, 0.0, 1.0)  # exhaust to intake around the gas-exchange dead centre
    return angle, (1.0 - 0.5 * swap) * pressure + 0.5 * swap * np.where(turned > 0.0, intake, exhaust)


def water_pump(suction=0.8, delivery=60.0, ramp_deg=12.0):
    """Suction while the plunger moves in, delivery while it moves out; half-cosine ramps after each dead centre."""
    angle = np.arange(0.0, 361.0, 1.0)
    rise = 0.5 - 0.5 * np.cos(np.pi * np.clip((angle - 180.0) / ramp_deg, 0.0, 1.0))
    fall = 0.5 - 0.5 * np.cos(np.pi * np.clip(angle / ramp_deg, 0.0, 1.0))
    high = np.where(angle < 180.0, 1.0 - fall, rise)
    return angle, suction + (delivery - suction) * high


def air_compressor(clearance_ratio=0.05, suction=0.97, delivery=8.0, exponent=1.3):
    """Clearance gas expands to suction pressure, the charge is squeezed to delivery pressure; ideal valves."""
    angle = np.arange(0.0, 361.0, 1.0)
    volume = relative_volume(angle, clearance_ratio)
    expand = np.maximum(suction, delivery * (clearance_ratio / volume) ** exponent)
    squeeze = np.minimum(delivery, suction * ((1.0 + clearance_ratio) / volume) ** exponent)
    return angle, np.where(angle < 180.0, expand, squeeze)


def open_air(pressure=1.013):
    """No pressure difference: the desk model has open cylinders."""
    angle = np.arange(0.0, 361.0, 15.0)
    return angle, np.full_like(angle, pressure)


TRACES = {
    "v_twin_generator_trace.csv": four_stroke_engine,
    "star_pump_trace.csv": water_pump,
    "air_compressor_trace.csv": air_compressor,
    "desk_model_trace.csv": open_air,
}


def text(make):
    """CSV text of one trace."""
    rows = (f"{angle:g},{pressure:.4f}" for angle, pressure in zip(*make(), strict=True))
    return "angle_deg,pressure_bar\n" + "\n".join(rows) + "\n"


if __name__ == "__main__":
    for name, make in TRACES.items():
        (FOLDER / name).write_text(text(make), encoding="utf-8", newline="\n")
        print(f"wrote data/{name}")
