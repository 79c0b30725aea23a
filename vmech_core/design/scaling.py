"""A design with all its lengths scaled: what a machine twice as large would be."""

from vmech_core.base.errors import InputError

#: Power of the factor with which a key grows, by the end of its name.
GROWS = {"_mm": 1, "_um": 1, "_g": 3, "_Nm_per_rad": 3}


def scaled(design, factor, same="piston speed", finish=False):
    """Scale every length of a design, its given masses with the third power, and its speed.

    Parameters
    ----------
    design : Design [-]
        The design; teeth, angles, pressures, temperatures, materials and oil stay.
    factor : float [1]
        New length over old.
    same : str [-]
        ``piston speed`` divides the speed by the factor; ``speed`` keeps the revolutions.
    finish : bool [-]
        Whether the roughness grows too; a larger machine is usually finished as finely.

    Returns
    -------
    Design [-]
        The scaled design.

    Raises
    ------
    InputError
        If there is no such rule, or if the design refuses: a key may leave its range.

    Examples
    --------
    >>> from vmech_core import load_design
    >>> twice = scaled(load_design("data/v_twin_generator.toml"), 2.0)
    >>> twice.cylinders.bore_mm, twice.gear_pair.module_mm, twice.duty.speed_rpm
    (116.0, 5.0, 1500.0)
    """
    if same not in ("piston speed", "speed"):
        raise InputError("same", same, "not one of piston speed, speed")
    data = design.to_dict()
    for section, keys in data.items():
        for name, value in keys.items():
            power = sum(p for end, p in GROWS.items() if name.endswith(end)) * (finish or section != "surfaces")
            if power and not isinstance(value, str):
                keys[name] = [v * factor**power for v in value] if isinstance(value, list) else value * factor**power
    data["duty"]["speed_rpm"] /= factor if same == "piston speed" else 1.0
    return type(design).from_dict(data, design.source, design.text)
