"""Packages that load a part of themselves only when a name of it is asked for."""

from importlib import import_module


def attach(package, files, modules=""):
    """Names that a package offers, each imported when it is first asked for.

    Parameters
    ----------
    package : str [-]
        Full name of the package.
    files : dict of str to str [-]
        File of the package to the names that it gives, divided by blanks.
    modules : str [-]
        Files that are offered whole, under their own names.

    Returns
    -------
    list of str [-]
        What the package offers.
    callable [-]
        Its ``__getattr__``.
    callable [-]
        Its ``__dir__``.

    Examples
    --------
    >>> from vmech_core import base
    >>> base.show(0.001, "m")
    '0.001 m'
    """
    home = {name: file for file, names in files.items() for name in names.split()}
    offered = sorted({*home, *modules.split()})

    def find(name):
        if name not in offered:
            raise AttributeError(f"module {package!r} has no attribute {name!r}")
        module = import_module(f"{package}.{home.get(name, name)}")
        return getattr(module, name) if name in home else module

    return offered, find, lambda: offered
