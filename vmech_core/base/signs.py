"""How a reader sees a unit, beside how code and keys spell it."""

#: Unit as code and keys spell it -> as a reader sees it.
SIGNS = {"um": "µm", "urad": "µrad", "N/um": "N/µm", "N/(mm um)": "N/(mm µm)", "rpm": "rev/min", "C": "°C"}
_RAISED = str.maketrans("23", "²³")


def sign(unit):
    """Write a unit as every text for a reader has it: µm, rev/min, °C, m/s².

    Parameters
    ----------
    unit : str [-]
        As code and keys spell it.

    Returns
    -------
    str [-]
        As figures, messages and printed results spell it.

    Examples
    --------
    >>> sign("N/um"), sign("cm3")
    ('N/µm', 'cm³')
    """
    return SIGNS.get(unit, unit).translate(_RAISED)
