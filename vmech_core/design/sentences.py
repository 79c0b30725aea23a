"""What a reader gets when something is wrong with a design: a sentence for each fault, all of them at once.

Loaded when something is refused, and not before.
"""

from vmech_core.base.errors import InputError, worded

#: Faults that are listed; the others are counted.
MOST_LISTED = 40


class DesignError(InputError):
    """Everything that is wrong with a design: one sentence, or a numbered line for each fault.

    Attributes
    ----------
    faults : tuple of Fault [-]
        The faults, in the order of the file.
    args : tuple of Fault [-]
        The same.
    fault : Fault [-]
        The first.
    more : int [1]
        How many others there are.
    """

    def __init__(self, *faults):
        self.faults, self.fault, self.more = faults, faults[0], len(faults) - 1
        first = self.fault
        super().__init__(first.name, printable(first.value), first.allowed, first.unit, nearest(first))
        self.args = faults  # what a copy in another process is made of

    def __str__(self) -> str:
        if not self.more:
            return sentence(self.fault)
        lines = [f"{place}. {sentence(fault)}" for place, fault in enumerate(self.faults[:MOST_LISTED], 1)]
        left = [f"and {len(self.faults) - MOST_LISTED} more."] if len(self.faults) > MOST_LISTED else []
        return "\n".join([f"The design has {len(self.faults)} faults:", *lines, *left])


def sentence(fault):
    """Write what is wrong.

    Parameters
    ----------
    fault : Fault [-]
        The fault.

    Returns
    -------
    str [-]
        One sentence; gears that would help stand in it on lines of their own.
    """
    if fault.line:
        shown = fault.value if len(fault.value) <= 80 else fault.value[:77] + "..."
        where = f"line {fault.line}" + (f", {fault.key}" if fault.key else "")
        return f"{where}: `{shown}` {fault.allowed}" + (f"; write: {fault.other_way}." if fault.other_way else ".")
    text = worded(fault.name, printable(fault.value), fault.allowed, fault.unit, nearest(fault))
    return text.replace("\n.", "")


def nearest(fault):
    """Write the values to try instead.

    Parameters
    ----------
    fault : Fault [-]
        The fault.

    Returns
    -------
    str or None [-]
        The values with their unit, as they stand in the sentence.
    """
    ways = [fault.other_way] if fault.other_way else []
    if fault.candidate is not None:
        shown = fault.candidate[fault.entry - 1] if fault.entry else fault.candidate
        unit = f" {fault.unit}" if fault.unit and not isinstance(shown, str) else ""
        ways.insert(0, _written(shown) + unit + (f" ({fault.hint})" if fault.hint else ""))
    if fault.gears:
        ways.insert(0 if fault.gears_first else len(ways), _gears_written(fault.gears[0], fault.as_lines))
    return " or ".join(ways).replace("\n or ", "\nor ") or None


def printable(value):
    """Give a value that can be written, whatever was given.

    Parameters
    ----------
    value : object [-]
        What was given.

    Returns
    -------
    object [-]
        The value itself, or words where it cannot be written.
    """
    try:
        str(value)
    except (ValueError, RecursionError):
        return "a number too long to print"
    return value


def _written(value):
    if isinstance(value, str):
        return f'"{value}"'
    if isinstance(value, (list, tuple)):
        return f"[{', '.join(_written(item) for item in value)}]"
    return f"{value:.10g}"


def _gears_written(gears, as_lines):
    if as_lines:
        lines = "".join(f"    {key} = {_written(value)}\n" for key, value in gears.items())
        return f"with this stroke, in [gear_pair]\n{lines}"
    pairs = ", ".join(f'"gear_pair.{key}": {_written(value)}' for key, value in gears.items())
    return f"with this stroke {{{pairs}}}"
