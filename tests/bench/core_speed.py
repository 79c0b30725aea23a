"""Speed of the core as ratios measured in one run: ``python tests/bench/core_speed.py``.

1. rigid loads of a V-twin at 721 angles against lean numpy written for that one case, same outputs;
2. 10 000 designs x 721 angles in one call against the time to write arrays of the same sizes;
3. ``import vmech_core`` in a fresh process beyond ``import numpy``.
"""

import statistics
import subprocess
import sys
import time

import numpy as np

from vmech_core.machine import hypocycloid, slider_crank

ANGLES = np.linspace(0.0, 2.0 * np.pi, 721)
BANK, MASS = np.radians([-45.0, 45.0]), np.array([0.35, 0.35])
GAS = 5e3 + 4e3 * np.cos(np.subtract.outer(-BANK, -ANGLES))


def timed(runs, *functions):
    """Median times of functions called in turn, so that a drift of the machine meets all of them, in seconds."""
    times = []
    for k in range(runs + 1):
        row = []
        for function in functions:
            start = time.perf_counter()
            result = function()
            row.append(time.perf_counter() - start)
            del result
        if k:
            times.append(row)
    return [statistics.median(column) for column in zip(*times, strict=True)]


def lean_straight(angle, gas, bank, mass, stroke, speed, pressure_angle, crank_mass, moment, carrier_moment):
    """The same outputs as hypocycloid.rigid_loads with idle guides, for one design, without any generality."""
    phi = angle - bank[:, None]
    rod = gas - (0.5 * mass * stroke * speed**2)[:, None] * np.cos(phi)
    mesh = (rod * np.sin(phi)).sum(axis=0)
    mesh -= speed**2 * (moment.real * np.sin(2 * angle) - moment.imag * np.cos(2 * angle))
    separating = np.abs(mesh) * np.tan(pressure_angle)
    along, spin = np.exp(1j * bank)[:, None], np.exp(1j * angle)
    pin = -rod * along
    tooth = (1j * mesh - separating) * spin
    crank = pin.sum(axis=0) + tooth + crank_mass * 0.25 * stroke * speed**2 * spin + moment * speed**2 * spin.conj()
    main = crank + carrier_moment * speed**2 * spin
    frame = main - tooth + (gas * along).sum(axis=0)
    return gas, rod, pin, np.zeros_like(rod), mesh, separating, crank, main, frame, 0.5 * stroke * mesh


def lean_slider(angle, gas, bank, pins, radius, length, piston, rod_mass, share, inertia, speed, offset, moment):
    """The same outputs as slider_crank.rigid_loads for one design, without any generality."""
    phi = angle + (pins - bank)[:, None]
    sin_p, cos_p = np.sin(phi), np.cos(phi)
    sin_l = (radius * sin_p - offset) / length
    cos_l = np.sqrt(1 - sin_l**2)
    rate = radius * speed * cos_p / (length * cos_l)
    rate2 = (sin_l * rate**2 - radius / length * speed**2 * sin_p) / cos_l
    lean = (cos_l + 1j * -sin_l) * (rate**2 + 1j * rate2)
    pin_acc = -radius * speed**2 * (cos_p + 1j * sin_p)
    wrist_x = gas + piston[:, None] * (pin_acc.real - length * lean.real)
    cg = rod_mass[:, None] * (pin_acc - share * length * lean)
    wrist_y = (
        inertia[:, None] / length * rate2 - share * (cos_l * cg.imag + sin_l * cg.real) - sin_l * wrist_x
    ) / cos_l
    wrist = wrist_x + 1j * wrist_y
    along = np.exp(1j * bank)[:, None]
    local = -(wrist + cg)
    pin = local * along
    main = pin.sum(axis=0) + moment * speed**2 * np.exp(1j * angle)
    frame = main + ((gas + 1j * wrist_y) * along).sum(axis=0)
    torque = radius * (cos_p * local.imag - sin_p * local.real).sum(axis=0)
    return gas, -local.real, pin, wrist, -wrist_y, main, frame, torque


def straight_arguments():
    """One V-twin for both versions."""
    drive = hypocycloid.HypocycloidDrive(0.069, BANK, MASS, 314.16, 0.35, 2.6, -0.001 + 0.002j, 0.01)
    return drive, (BANK, MASS, 0.069, 314.16, 0.35, 2.6, -0.001 + 0.002j, 0.01)


def slider_arguments():
    """One ordinary V-twin for both versions."""
    values = (0.0345, 0.121, BANK, np.zeros(2), MASS, MASS, 0.3, 0.0006 * np.ones(2), 314.16, 0.001, -0.02 + 0.0j)
    r, length, bank, pins, piston, rod, share, inertia, speed, offset, moment = values
    flat = (bank, pins, r, length, piston, rod, share, inertia, speed, offset, moment)
    return slider_crank.SliderCrank(*values), flat


def same(loads, outputs):
    """The two versions must agree, or their times say nothing."""
    for ours, theirs in zip(loads.channels.values(), outputs, strict=True):
        np.testing.assert_allclose(ours, theirs, rtol=0, atol=1e-9 * max(1.0, np.abs(theirs).max()))


def batch(count, rng):
    """A batch of random V-twins and their gas forces."""

    def spread(low, high, *shape):
        return rng.uniform(low, high, (count, *shape))

    drive = hypocycloid.HypocycloidDrive(
        spread(0.05, 0.09),
        spread(-np.pi, np.pi, 2),
        spread(0.2, 0.6, 2),
        spread(100, 400),
        spread(0.3, 0.45),
        spread(1, 4),
        spread(-0.01, 0.01) + 1j * spread(-0.01, 0.01),
    )
    ordinary = slider_crank.SliderCrank(
        drive.stroke / 2,
        1.75 * drive.stroke,
        drive.bank_angle,
        np.zeros((count, 2)),
        drive.reciprocating_mass,
        drive.reciprocating_mass,
        spread(0.2, 0.4),
        spread(5e-4, 1e-3, 2),
        drive.speed,
        spread(0, 0.001),
        drive.crank_moment,
    )
    return drive, ordinary, np.repeat(GAS[None], count, axis=0)


def writer(loads):
    """A function that writes fresh arrays of the sizes that a result holds (gas is handed through, zeros are views)."""
    shapes = [(v.shape, v.dtype) for k, v in loads.channels.items() if k != "gas" and 0 not in v.strides]

    def write():
        arrays = [np.empty(shape, dtype) for shape, dtype in shapes]
        for array in arrays:
            array.fill(1.5)
        return arrays

    return write


def import_times(*statements):
    """Times of statements in fresh processes, as each process itself measures them, in turn, median of fifteen."""

    def once(statement):
        code = f"import time; t = time.perf_counter(); {statement}; print(time.perf_counter() - t)"
        return float(subprocess.check_output([sys.executable, "-c", code]))

    rows = [[once(statement) for statement in statements] for _ in range(15)]
    return [statistics.median(column) for column in zip(*rows, strict=True)]


def main(count=10_000):
    """Measure and print."""
    rows = []
    for name, module, arguments, lean in (
        ("straight-line drive", hypocycloid, straight_arguments, lean_straight),
        ("slider-crank", slider_crank, slider_arguments, lean_slider),
    ):
        drive, flat = arguments()
        same(module.rigid_loads(drive, ANGLES, GAS), lean(ANGLES, GAS, *flat))
        ours, theirs = timed(
            600, lambda m=module, d=drive: m.rigid_loads(d, ANGLES, GAS), lambda f=lean, a=flat: f(ANGLES, GAS, *a)
        )
        rows.append((f"{name}: 721 angles, core over lean numpy", ours, theirs, ours / theirs, 1.5))
    straight, ordinary, gas = batch(count, np.random.default_rng(3))
    for name, module, drive in (
        ("straight-line drive", hypocycloid, straight),
        ("slider-crank", slider_crank, ordinary),
    ):
        write = writer(module.rigid_loads(drive, ANGLES, gas))
        ours, written = timed(5, lambda m=module, d=drive: m.rigid_loads(d, ANGLES, gas), write)
        rows.append(
            (f"{name}: {count} designs x 721 angles over writing the result", ours, written, ours / written, 12.0)
        )
    numpy_time, core_time = import_times("import numpy", "import numpy, vmech_core")
    for name, ours, theirs, ratio, aim in rows:
        print(
            f"{name:<68} {ours * 1e3:9.3f} ms {theirs * 1e3:9.3f} ms  ratio {ratio:5.2f}  aim {aim:g}"
            f"  {'met' if ratio <= aim else 'NOT MET'}"
        )
    extra = core_time - numpy_time
    print(f"import vmech_core beyond numpy: {extra * 1e3:.1f} ms, aim 150 ms  {'met' if extra <= 0.15 else 'NOT MET'}")


if __name__ == "__main__":
    main()
