"""The one law of removal: metal taken from the workpiece per joule of gap energy, in a liquid."""

from dataclasses import dataclass

from gapwright.base.checks import require_between, require_not_negative, require_positive
from gapwright.base.errors import InputRefused
from gapwright.base.units import CubicMetres, Joules, Metres, Number, RemovalPerEnergy
from gapwright.thermal._kernel import RemovalConstants, removal_band, removal_per_energy
from gapwright.thermal.quantiles import require_chance


@dataclass(frozen=True, slots=True, kw_only=True)
class RemovalLaw:
    """Removal per joule for steel in liquid, log-normal and cut off at `largest`.

    The 90 % band is a factor either way: `small_band` up to `small_energy`,
    `large_band` from `large_energy`, its logarithm linear in that of energy
    between. Width of the crater is `width_scale` at 1 J, to the power `width_exponent`.
    """

    median: RemovalPerEnergy = 4e-12
    largest: RemovalPerEnergy = 1e-11
    small_energy: Joules = 1e-4
    large_energy: Joules = 1e-3
    small_band: Number = 4.0
    large_band: Number = 2.5
    width_scale: Metres = 6.8e-4
    width_exponent: Number = 0.34

    def __post_init__(self) -> None:
        """Refuse constants outside their ranges."""
        require_positive("median", self.median, "m³/J")
        require_positive("largest", self.largest, "m³/J")
        require_positive("small_energy", self.small_energy, "J")
        require_positive("width_scale", self.width_scale, "m")
        require_between("width_exponent", self.width_exponent, 0.1, 1.0, "")
        if not self.large_energy > self.small_energy:
            raise InputRefused(
                f"large_energy must be above small_energy {self.small_energy:g} J, "
                f"got {self.large_energy:g} J"
            )
        for name, band in (("small_band", self.small_band), ("large_band", self.large_band)):
            if not band > 1.0:
                raise InputRefused(f"{name} must be a factor above 1, got {band:g}")

    @property
    def constants(self) -> RemovalConstants:
        """The same numbers as the kernels take them."""
        return RemovalConstants(
            median=self.median,
            largest=self.largest,
            small_energy=self.small_energy,
            large_energy=self.large_energy,
            small_band=self.small_band,
            large_band=self.large_band,
            width_scale=self.width_scale,
            width_exponent=self.width_exponent,
        )


USUAL = RemovalLaw()
"""The law before anything is calibrated; from memory."""


def removal_band_factor(energy: Joules, *, law: RemovalLaw = USUAL) -> Number:
    r"""Factor of the 90 % band of removal per energy.

    Parameters
    ----------
    energy
        Gap energy of one spark, above 0. [J]
    law
        The law's constants.

    Returns
    -------
    factor
        Nine in ten members lie within this factor of the median, before the cut.

    Raises
    ------
    InputRefused
        If the energy is not above 0.

    Notes
    -----
    .. math:: \ln b = \ln b_s + \ln\frac{b_l}{b_s}\,\frac{\ln(E/E_s)}{\ln(E_l/E_s)}

    Holds between the two energies; constant outside. Leaves out: calibration, which narrows it.

    References
    ----------
    from memory, composite of crater studies

    Examples
    --------
    >>> print(f"{removal_band_factor(1e-3):.1f} {removal_band_factor(1e-5):.1f}")
    2.5 4.0
    """
    require_positive("energy", energy, "J")
    return removal_band(energy, law.constants)


def removal_per_energy_quantile(
    chance: Number, energy: Joules, *, law: RemovalLaw = USUAL
) -> RemovalPerEnergy:
    r"""Metal removed from steel per joule of gap energy, at a chance.

    Parameters
    ----------
    chance
        Share of members that remove less, strictly between 0 and 1.
    energy
        Gap energy of one spark, above 0. [J]
    law
        The law's constants.

    Returns
    -------
    removal
        Volume per joule; multiply by the factors of material and polarity. [m³/J]

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    .. math:: \kappa = \kappa_0\, e^{\sigma z}, \quad \sigma = \frac{\ln b(E)}{z_{95}}, \quad
              \kappa \le \kappa_{max}

    with z the normal quantile of the chance among what is not cut off.
    Holds for steel in water or oil, sparks of 1 µJ to 1 J, workpiece positive
    for short sparks. Leaves out: sparks that remove nothing (the effective
    share), the scatter from spark to spark, other metals.

    References
    ----------
    from memory, composite of crater studies; cut where conduction ends (computed)

    Examples
    --------
    >>> print(f"{1e12 * removal_per_energy_quantile(0.5, 1e-3):.2f} mm³/kJ")
    3.86 mm³/kJ
    """
    require_chance(chance)
    require_positive("energy", energy, "J")
    return removal_per_energy(chance, energy, law.constants)


def spark_volume(
    energy: Joules, *, removal: RemovalPerEnergy, material_factor: Number, polarity_factor: Number = 1.0
) -> CubicMetres:
    r"""Metal that one effective spark removes from the workpiece.

    Parameters
    ----------
    energy
        Gap energy of the spark, at least 0. [J]
    removal
        Metal per joule of steel, above 0. [m³/J]
    material_factor
        Removal of this material relative to steel, above 0.
    polarity_factor
        Effect of polarity and duration, above 0.

    Returns
    -------
    volume
        Volume removed. [m³]

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    .. math:: V = \kappa E f_{mat} f_{pol}

    Holds on average over sparks. Leaves out: the share of sparks that remove nothing.

    References
    ----------
    from memory, composite of crater studies

    Examples
    --------
    >>> V = spark_volume(1e-3, removal=4e-12, material_factor=1.0)
    >>> print(f"{1e18 * V:.0f} µm³")
    4000 µm³
    """
    require_not_negative("energy", energy, "J")
    require_positive("removal", removal, "m³/J")
    require_positive("material_factor", material_factor, "")
    require_positive("polarity_factor", polarity_factor, "")
    return removal * energy * material_factor * polarity_factor
