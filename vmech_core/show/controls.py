"""What a reader may change in a live scene: sliders and choices as plain data, without any widget."""

from collections.abc import Sequence
from dataclasses import KW_ONLY, dataclass
from numbers import Real

from vmech_core.base.errors import InputError


@dataclass(frozen=True)
class Slider:
    """One slider.

    Attributes
    ----------
    name : str [-]
        Keyword under which the scene receives the value.
    label : str [-]
        What stands beside the slider, without the unit.
    minimum, maximum, step, value : float [-]
        Range, step and start value, in the unit of the label.
    unit : str [-]
        Unit as shown; empty for a pure number.
    integer : bool [-]
        Whether the value is a whole number.
    cyclic : bool [-]
        Whether the end of the range is its beginning, as with an angle over whole turns; a panel can play it.
    """

    name: str
    label: str
    minimum: float
    maximum: float
    _: KW_ONLY
    step: float
    value: float
    unit: str = ""
    integer: bool = False
    cyclic: bool = False

    def __post_init__(self):
        if not self.minimum < self.maximum:
            raise InputError(f"{self.name}.maximum", self.maximum, f"not above the minimum {self.minimum:g}", self.unit)
        if not self.step > 0:
            raise InputError(f"{self.name}.step", self.step, "not above 0", self.unit)
        self.check(self.value)

    @property
    def title(self) -> str:
        """Label with its unit, for example ``crank angle [deg]``."""
        return f"{self.label} [{self.unit}]" if self.unit else self.label

    def check(self, value):
        """Refuse a value that the slider cannot take.

        Parameters
        ----------
        value : float [-]
            Value in the unit of the slider.

        Raises
        ------
        InputError
            If the value is no number within the range, or not whole where the slider counts.
        """
        span, kind = f"{self.minimum:g} to {self.maximum:g}", "whole number" if self.integer else "number"
        if not isinstance(value, Real) or value != value or (self.integer and value % 1):
            raise InputError(self.name, value, f"not a {kind} from {span}", self.unit)
        if not self.minimum <= value <= self.maximum:
            nearest = self.minimum if value < self.minimum else self.maximum
            raise InputError(self.name, value, f"outside {span}", self.unit, f"{nearest:g} {self.unit}".strip())

    def shown(self, value) -> str:
        """A value in words.

        Parameters
        ----------
        value : float [-]
            Value in the unit of the slider.

        Returns
        -------
        str [-]
            Label, value and unit.
        """
        return f"{self.label} {value:.6g} {self.unit}".strip()

    def describe(self) -> str:
        """One line that tells a reader without a live page what the slider does.

        Returns
        -------
        str [-]
            Label, range, step and start value.
        """
        return f"{self.title}: {self.minimum:g} to {self.maximum:g} in steps of {self.step:g}, starts at {self.value:g}"


@dataclass(frozen=True)
class Choice:
    """One choice among a few named options.

    Attributes
    ----------
    name : str [-]
        Keyword under which the scene receives the option.
    label : str [-]
        What stands beside the options.
    options : sequence of str [-]
        What can be chosen.
    value : str [-]
        Option at the start.
    """

    name: str
    label: str
    options: Sequence[str]
    value: str

    def __post_init__(self):
        self.check(self.value)

    def check(self, value):
        """Refuse what is not an option.

        Parameters
        ----------
        value : str [-]
            Option to be checked.

        Raises
        ------
        InputError
            If there is no such option.
        """
        if value not in self.options:
            raise InputError(self.name, value, f"not one of {', '.join(map(str, self.options))}")

    def shown(self, value) -> str:
        """An option in words.

        Parameters
        ----------
        value : str [-]
            The option.

        Returns
        -------
        str [-]
            Label and option.
        """
        return f"{self.label} {value}"

    def describe(self) -> str:
        """One line that tells a reader without a live page what can be chosen.

        Returns
        -------
        str [-]
            Label, options and the one at the start.
        """
        return f"{self.label}: {' | '.join(map(str, self.options))}, starts at {self.value}"
