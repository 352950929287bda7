"""A thin sheet under the electrode: how far it gives way."""

from gapwright.base.checks import require_not_negative, require_positive
from gapwright.base.units import Metres, Newtons, Pascals


def clamped_deflection(
    force: Newtons, *, overhang: Metres, thickness: Metres, modulus: Pascals, width: Metres | None = None
) -> Metres:
    r"""How far a sheet clamped on one side gives way under a force at its hole.

    Parameters
    ----------
    force
        Force on the sheet, at least 0. [N]
    overhang
        Distance from the clamp to the hole, above 0. [m]
    thickness
        Thickness of the sheet, above 0. [m]
    modulus
        Modulus of elasticity, above 0. [Pa]
    width
        Width of the strip that carries the force, above 0; left out, as wide as it is long. [m]

    Returns
    -------
    deflection
        Way by which the sheet gives in at the hole. [m]

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    .. math:: \delta = \frac{4 F l^3}{E w t^3}

    Holds for a strip that bends by less than its thickness.
    Leaves out: the stiffness of what lies beside the strip, warmth that buckles it.

    References
    ----------
    beam-theory, cantilever with a load at its end

    Examples
    --------
    >>> bend = clamped_deflection(0.1, overhang=10e-3, thickness=0.15e-3, modulus=200e9)
    >>> print(f"{1e6 * bend:.0f} µm")
    59 µm
    """
    require_not_negative("force", force, "N")
    require_positive("overhang", overhang, "m")
    require_positive("thickness", thickness, "m")
    require_positive("modulus", modulus, "Pa")
    strip = overhang if width is None else width
    require_positive("width", strip, "m")
    return 4.0 * force * overhang**3 / (modulus * strip * thickness**3)
