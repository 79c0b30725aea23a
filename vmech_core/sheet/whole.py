"""The whole sheet as text: screens first with what would mend them, then doubts, then every stage."""

from contextlib import suppress
from functools import cache

from vmech_core.base import InputError, Quantity, show
from vmech_core.sheet.basics import EDGE
from vmech_core.sheet.doubts import doubts, other_pressure
from vmech_core.sheet.rated import rating_remedies, running_margins
from vmech_core.sheet.remedies import STEP, remedies
from vmech_core.sheet.stages import STAGES, shown

#: A screen that holds by less than this share of its limit is close; by less than this many modules if that is 0.
CLOSE, CLOSE_MODULES = 0.1, 0.05


def whole(a):
    """Write every stage of an assessment.

    Parameters
    ----------
    a : Assessment [-]
        The assessment.

    Returns
    -------
    str [-]
        Screens first, each with pass, close or FAILS, then what is doubtful, then the stages; a stage that fails has
        its sentence.
    """
    parts = [_titled(f"{a.design.name}: screens", _tried(lambda: "\n".join(_screens(a))))]
    doubtful = _tried(lambda: "\n".join([*doubts(a.design), *_trace(a)]))
    parts += [_titled("doubtful", doubtful)] if doubtful else []
    parts += [_titled(name.replace("_", " "), _tried(lambda name=name: a.report(name)))
              for name in STAGES if name != "screens"]
    return "\n\n".join(parts)


def state(margin):
    """Say whether a screen holds.

    Parameters
    ----------
    margin : Margin [-]
        The screen.

    Returns
    -------
    str [-]
        ``pass``, ``close`` (holds by less than a tenth of its limit, or a twentieth of a module) or ``FAILS``.
    """
    if not margin.ok:
        return "FAILS"
    return "close" if abs(margin.value - margin.limit) < (CLOSE * abs(margin.limit) or CLOSE_MODULES) else "pass"


def _titled(title, text):
    return f"{title}\n{'-' * len(title)}\n{text}"


def _tried(made):
    try:
        return made()
    except InputError as error:
        return str(error)


def _screens(a):
    margins = list(a.margins)
    with suppress(InputError):  # a machine that cannot be followed: the stage of its loads says why
        margins += running_margins(a)
    of_teeth = cache(lambda: rating_remedies(a))  # the same for all four safeties, and slow
    wide = max(len(m.name) for m in margins)
    for margin in sorted(margins, key=lambda m: ("FAILS", "close", "pass").index(state(m))):
        value, limit = (shown(Quantity(number, margin.unit or "1", "", EDGE.get(margin.unit, "")))
                        for number in (margin.value, margin.limit))
        yield f"{state(margin):<6}{margin.name:<{wide}}  {value:>14}   {margin.sense} {limit}"
        if not margin.ok:
            yield from _helps(a, margin, of_teeth)
    end = show(abs(a.ends["mesh_end"]).max(), "kN", 2)
    yield f"(bending is screened with {end} at one end, guides idle: guides that share take load off it)"
    yield f"({a.load_case})"


def _helps(a, margin, of_teeth):
    if "safety" in margin.name:
        for new in (found := of_teeth()):
            yield "      mended by " + ", ".join(f"{key} = {value:g}" for key, value in new.items())
        if not found:
            yield "      no helix correction and no pair of this stroke stands this load with the crank's tilt."
        return
    if margin not in a.margins:
        return
    found = remedies(a, margin.name)
    for new in found:
        changed = {key.partition(".")[2]: value for key, value in new.items()
                   if value != getattr(a.design.gear_pair, key.partition(".")[2])}
        step = STEP.get(next(iter(changed)), 0.05) if len(new) < 3 else ""
        yield "      mended by " + ", ".join(f"{key} = {value:g}" for key, value in changed.items()) + (
            f" (tried in steps of {step:g})" if step else " (same stroke)")
    if not found:
        yield "      no face width, limit, tooth height, shift or module of the series mends this alone."


def _trace(a):
    """The lowest pressure of a trace lies near the lower of inlet and outlet, or the unit is another."""
    duty = a.design.duty
    if a.trace is None and a.has_own:
        return
    low, near = 1e-5 * float(a.gas_trace.pressure.min()), min(duty.inlet_pressure_bar, duty.outlet_pressure_bar)
    if a.load == 1.0 and not 0.2 <= low / near <= 5.0:
        yield (f"{duty.pressure_trace} has a lowest pressure of {show(low, 'bar')}, and duty has {near:g} bar before "
               f"the inlet or behind the outlet{other_pressure(low, near)}.")
