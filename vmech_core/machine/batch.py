"""Large batches in cache-sized blocks: the same vectorised function, fed a few hundred designs at a time.

It pays: 10,000 slider-cranks at 721 angles take a third of the time of one piece (tests/bench/core_speed.py).
"""

from dataclasses import fields, replace

import numpy as np

from vmech_core.base.results import Loads

#: Elements of one (block, K, A) array that fit a core's cache beside their temporaries; found by timing.
BLOCK = 50_000


def in_blocks(function, drive, per_cylinder, angle, gas_force):
    """Evaluate loads of a batch of designs block by block, into arrays made once.

    Without it every temporary array of a large batch goes through main memory. The result is the same.

    Parameters
    ----------
    function : callable [-]
        Vectorised function (drive, angle, gas force) to Loads.
    drive : HypocycloidDrive or SliderCrank [-]
        One drive, or a batch along one leading axis.
    per_cylinder : tuple of str [-]
        Names of the fields whose last axis counts cylinders.
    angle : (A,) array [rad]
        Carrier or crank angle.
    gas_force : (..., K, A) array [N]
        Gas force on each piston, positive toward O.

    Returns
    -------
    Loads [-]
        Loads of the whole batch.

    Valid: any batch; anything but one leading axis is evaluated in one piece.
    Source: none needed, no physics.
    """
    gas = np.asarray(gas_force, dtype=float)
    size = {f.name: np.asarray(getattr(drive, f.name)) for f in fields(drive)}
    axes = {name: value.ndim - (name in per_cylinder) for name, value in size.items()}
    if max(gas.ndim - 2, *axes.values()) != 1:
        return function(drive, angle, gas)
    long = {name: value for name, value in size.items() if axes[name] == 1 and len(value) > 1}
    count = max([len(value) for value in long.values()] + [len(gas)] * (gas.ndim > 2))
    gas, step = np.broadcast_to(gas, (count, *gas.shape[-2:])), max(1, BLOCK // int(np.prod(gas.shape[-2:])))
    channels = {"gas": gas}
    for start in range(0, count, step):
        part = slice(start, start + step)
        some = replace(drive, **{name: value[part] for name, value in long.items()})
        loads = function(some, angle, gas[part])
        for name, block in loads.channels.items():
            if name not in channels:
                channels[name] = _room(block, count)
            if channels[name].flags.writeable and name != "gas":
                channels[name][part] = block
    return Loads(loads.angle, channels, loads.model)


def _room(block, count):
    """Empty array for the whole batch; a channel of equal values (idle guides) stays a view of one number."""
    shape = (count, *block.shape[1:])
    return np.broadcast_to(block.flat[0], shape) if not any(block.strides) else np.empty(shape, block.dtype)
