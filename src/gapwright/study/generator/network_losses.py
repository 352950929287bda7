"""What the rig file says of losses beside the circuit, as the engine takes it."""

from gapwright.circuit.control.spark_loop import COIL, DIODE, SERIES_SWITCH, SWITCH
from gapwright.circuit.engine.edges import CoreData, LossData, SwitchData
from gapwright.circuit.stages.stage_parts import GAP_DIODE, STEERING
from gapwright.rig.components import Coil, Diode, Switch
from gapwright.rig.generator import AnyGenerator


def loss_data(generator: AnyGenerator) -> LossData:
    """Losses of a generator's transistors, diodes and core, by name of the part in its circuit."""
    series = getattr(generator, "series_switch", None)
    switches = {
        SWITCH: getattr(generator, "switch", None),
        STEERING: getattr(generator, "steering", None),
        SERIES_SWITCH: series.switch if series else None,
    }
    diode = getattr(generator, "diode", None)
    charge = diode.recovery_charge if isinstance(diode, Diode) else 0.0
    diodes = {DIODE: charge} if charge > 0.0 else {}
    if diodes and hasattr(generator, "steering"):
        diodes[GAP_DIODE] = charge
    coil = getattr(generator, "coil", None)
    cores = {}
    if isinstance(coil, Coil) and coil.core is not None:
        cores[COIL] = CoreData(**coil.core.model_dump())
    return LossData(
        switches={
            name: SwitchData(
                rise_seconds=switch.rise_time,
                fall_seconds=switch.fall_time,
                output_farads=switch.output_capacitance,
                gate_coulombs=switch.gate_charge,
                gate_volts=switch.gate_voltage,
            )
            for name, switch in switches.items()
            if isinstance(switch, Switch)
        },
        diodes=diodes,
        cores=cores,
    )
