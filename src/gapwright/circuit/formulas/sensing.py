"""Measuring a gap voltage with two resistors and a converter."""

from math import floor

from gapwright.base.checks import require_between, require_finite, require_not_negative, require_positive
from gapwright.base.errors import InputRefused, OutOfRange
from gapwright.base.units import Number, Ohms, Volts


def divided_voltage(voltage: Volts, *, top: Ohms, bottom: Ohms) -> Volts:
    r"""Voltage at the tap of a divider that nothing loads.

    Parameters
    ----------
    voltage
        Voltage across the divider. [V]
    top
        Resistor from the voltage to the tap, above 0. [Ω]
    bottom
        Resistor from the tap to the reference line, above 0. [Ω]

    Returns
    -------
    voltage
        Voltage at the tap. [V]

    Raises
    ------
    InputRefused
        If the voltage is not finite or a resistor not above 0.

    Notes
    -----
    .. math:: V_t = V \frac{R_b}{R_t + R_b}

    Holds for slow voltages and a converter that draws nothing.
    Leaves out: stray capacitance, which shapes fast edges; the converter's own load.

    References
    ----------
    circuit-theory, voltage divider

    Examples
    --------
    >>> print(f"{divided_voltage(60.0, top=100e3, bottom=6.8e3):.3f} V")
    3.820 V
    """
    require_finite("voltage", voltage, "V")
    require_positive("top", top, "Ω")
    require_positive("bottom", bottom, "Ω")
    return voltage * bottom / (top + bottom)


def divided_band(voltage: Volts, *, top: Ohms, bottom: Ohms, tolerance: Number) -> tuple[Volts, Volts]:
    r"""Lowest and highest tap voltage that two resistors of a tolerance allow.

    Parameters
    ----------
    voltage
        Voltage across the divider, at least 0. [V]
    top
        Resistor from the voltage to the tap, above 0. [Ω]
    bottom
        Resistor from the tap to the reference line, above 0. [Ω]
    tolerance
        Largest deviation of each resistor as a share of its value, from 0 to below 1.

    Returns
    -------
    low
        Voltage at the tap with a large top and a small bottom resistor. [V]
    high
        Voltage at the tap with a small top and a large bottom resistor. [V]

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    .. math:: V_t = V \frac{R_b (1 \mp \delta)}{R_t (1 \pm \delta) + R_b (1 \mp \delta)}

    Holds as the worst case of both resistors.
    Leaves out: the tolerance of the converter's reference, warmth.

    References
    ----------
    circuit-theory, voltage divider

    Examples
    --------
    >>> low, high = divided_band(60.0, top=100e3, bottom=6.8e3, tolerance=0.01)
    >>> print(f"{low:.3f} to {high:.3f} V")
    3.749 to 3.892 V
    """
    require_not_negative("voltage", voltage, "V")
    require_between("tolerance", tolerance, 0.0, 1.0, "")
    if tolerance == 1.0:
        raise InputRefused("tolerance must be below 1, got 1; such a resistor might be a short")
    more, less = 1.0 + tolerance, 1.0 - tolerance
    low = divided_voltage(voltage, top=top * more, bottom=bottom * less)
    return low, divided_voltage(voltage, top=top * less, bottom=bottom * more)


def source_resistance(*, top: Ohms, bottom: Ohms) -> Ohms:
    r"""Resistance that a divider shows to the converter at its tap.

    Parameters
    ----------
    top
        Resistor from the voltage to the tap, above 0. [Ω]
    bottom
        Resistor from the tap to the reference line, above 0. [Ω]

    Returns
    -------
    resistance
        Both resistors side by side. [Ω]

    Raises
    ------
    InputRefused
        If a resistor is not above 0.

    Notes
    -----
    .. math:: R = \frac{R_t R_b}{R_t + R_b}

    Holds for a source of the divided voltage without resistance of its own.
    Leaves out: stray capacitance.

    References
    ----------
    circuit-theory, equivalent source

    Examples
    --------
    >>> print(f"{source_resistance(top=100e3, bottom=6.8e3):.0f} Ω")
    6367 Ω
    """
    require_positive("top", top, "Ω")
    require_positive("bottom", bottom, "Ω")
    return top * bottom / (top + bottom)


def converter_step(*, reference: Volts, bits: int, top: Ohms, bottom: Ohms) -> Volts:
    r"""Voltage across the divider that changes the converter's code by one.

    Parameters
    ----------
    reference
        Voltage of the converter's full scale, above 0. [V]
    bits
        Bits of the converter, at least 1.
    top
        Resistor from the voltage to the tap, above 0. [Ω]
    bottom
        Resistor from the tap to the reference line, above 0. [Ω]

    Returns
    -------
    voltage
        Voltage for one step of the code. [V]

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    .. math:: \frac{V_{ref}}{2^n} \cdot \frac{R_t + R_b}{R_b}

    Holds for an ideal converter.
    Leaves out: noise and errors of the converter, which are often larger.

    References
    ----------
    circuit-theory, voltage divider

    Examples
    --------
    >>> step = converter_step(reference=5.0, bits=10, top=100e3, bottom=6.8e3)
    >>> print(f"{1e3 * step:.1f} mV")
    76.7 mV
    """
    _require_converter(reference, bits)
    return reference / 2.0**bits / divided_voltage(1.0, top=top, bottom=bottom)


def _require_converter(reference: Volts, bits: int) -> None:
    """Refuse a converter that cannot be."""
    require_positive("reference", reference, "V")
    if bits < 1:
        raise InputRefused(f"bits must be at least 1, got {bits}")


def converter_code(voltage: Volts, *, reference: Volts, bits: int) -> int:
    r"""Code that a converter gives for a voltage at its input.

    Parameters
    ----------
    voltage
        Voltage at the input, at least 0 and below `reference`. [V]
    reference
        Voltage of the converter's full scale, above 0. [V]
    bits
        Bits of the converter, at least 1.

    Returns
    -------
    code
        Whole number from 0 to 2 to the power of `bits`, less 1.

    Raises
    ------
    InputRefused
        If the voltage is below 0 or the converter cannot be.
    OutOfRange
        If the voltage is not below the full scale.

    Notes
    -----
    .. math:: \left\lfloor 2^n \frac{V}{V_{ref}} \right\rfloor

    Holds for an ideal converter.
    Leaves out: noise and errors of the converter.

    References
    ----------
    definition

    Examples
    --------
    >>> converter_code(3.82022, reference=5.0, bits=10)
    782
    """
    _require_converter(reference, bits)
    require_not_negative("voltage", voltage, "V")
    if voltage >= reference:
        raise OutOfRange(
            f"voltage must be below the full scale of {reference:g} V, got {voltage:g} V; "
            "the code no longer follows it: divide it further"
        )
    return floor(voltage / reference * 2.0**bits)
