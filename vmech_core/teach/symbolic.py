"""Final symbolic expressions, with their assumptions; the derivations stand in the notebooks, which assert equality.

A test turns each expression into numbers and compares it with the numeric core, so that the two cannot drift apart.
"""

import sympy as sp

theta, alpha, eps = sp.symbols("theta alpha epsilon", real=True)
a, b, ratio = sp.symbols("a b rho", positive=True)


def pin_place():
    """Place of the crankpin of the 2:1 train on its line.

    Returns
    -------
    sympy expression [-]
        2 a cos(theta - alpha) e^(i alpha), with carrier radius a and bank angle alpha.

    Source: derived in notebook 01.
    """
    return 2 * a * sp.cos(theta - alpha) * sp.exp(sp.I * alpha)


def general_pin_place():
    """Place of a pin for any tooth ratio rho, pin radius b and phase error epsilon, with carrier radius a.

    Returns
    -------
    sympy expression [-]
        a e^(i theta) + b e^(i (alpha + epsilon + (1 - rho)(theta - alpha))).

    Source: Willis equation, notebook 01.
    """
    return a * sp.exp(sp.I * theta) + b * sp.exp(sp.I * (alpha + eps + (1 - ratio) * (theta - alpha)))


def ellipse_place():
    """Place of a pin of the 2:1 train with pin radius b and phase error epsilon, in the axes of its ellipse.

    Returns
    -------
    sympy expression [-]
        (a + b) cos(psi) + i (a - b) sin(psi) with psi = theta - alpha - epsilon / 2.

    Source: derived in notebook 01.
    """
    psi = theta - alpha - eps / 2
    return (a + b) * sp.cos(psi) + sp.I * (a - b) * sp.sin(psi)
