"""Memory of the last spark on a surface turned about an axis."""

from gapwright.base.checks import require_not_negative, require_positive
from gapwright.base.units import Metres, Number
from gapwright.gap._kernel_memory import ring_memory


def ring_memory_share(
    radius: Metres, depth: Metres, *, spot_radius: Metres, spot_depth: Metres, reach: Metres
) -> Number:
    r"""Part of the memory of a spark that a whole ring keeps, averaged over its angles.

    Parameters
    ----------
    radius
        Radius of the ring, at least 0. [m]
    depth
        Depth of the ring. [m]
    spot_radius
        Radius at which the last spark struck, at least 0. [m]
    spot_depth
        Depth at which it struck. [m]
    reach
        Distance over which a gap remembers, above 0. [m]

    Returns
    -------
    share
        Mean over the angles of exp(-d²/reach²): 1 for a small ring at the spot, less for a wide one.

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    With the distance :math:`d^2 = (z - z_k)^2 + r^2 + r_k^2 - 2 r r_k \cos\varphi`

    .. math:: \overline{e^{-d^2/\rho^2}} = e^{-((r - r_k)^2 + (z - z_k)^2)/\rho^2}
              \, e^{-x} I_0(x), \quad x = 2 r r_k / \rho^2

    Holds exactly for the Gaussian reach; the Bessel function is good to 2e-7.
    Leaves out: a spindle that turns on while the gap remembers, which at a microsecond is nothing.

    References
    ----------
    computed from the integral of the modified Bessel function
    abramowitz-stegun, 9.8.1 and 9.8.2

    Examples
    --------
    >>> share = ring_memory_share(0.25e-3, 1e-3, spot_radius=0.25e-3, spot_depth=1e-3, reach=60e-6)
    >>> print(f"{share:.3f}")
    0.068
    """
    require_not_negative("radius", radius, "m")
    require_not_negative("spot_radius", spot_radius, "m")
    require_positive("reach", reach, "m")
    return ring_memory(radius, depth, spot_radius, spot_depth, reach)
