"""Mechanics of a piston machine with a two-to-one hypocycloid gear train, beside an ordinary slider-crank.

The public face is small and lazy: a name below is imported when it is first asked for, so that
``import vmech_core`` itself loads no other package. (Kept readable for old Pythons: ``start`` passes through here.)
"""

from importlib import import_module

__version__ = "0.1.0"
__all__ = ["InputError", "assess", "load_design", "save_design"]

_HOME = {
    "InputError": "vmech_core.base.errors",
    "assess": "vmech_core.sheet.assessment",
    "load_design": "vmech_core.design.files",
    "save_design": "vmech_core.design.saving",
}


def __getattr__(name):
    if name not in _HOME:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    value = getattr(import_module(_HOME[name]), name)
    globals()[name] = value
    return value


def __dir__():
    return sorted(set(globals()) | set(__all__))
