import pytest

from gapwright.base.errors import InputRefused
from gapwright.circuit.control.governor import Above, After, Governed, Governor, Phase, Sensor, WhenIn
from gapwright.circuit.engine.engine import Start, run
from tests.pulsed_by_governors import pulsed, pulses


def phase(name: str, then: str, **more) -> Phase:
    return Phase(name=name, rules=(After(seconds=1e-6, then=then),), **more)


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (
            lambda: Sensor(quantity="volt", name="gap"),
            r"must watch volts or .*got 'volt'; did you mean 'volts'",
        ),
        (lambda: Governor(name="g", phases=()), "governor 'g' must have a phase"),
        (lambda: Governor(name="g", phases=(phase("a", "a"), phase("a", "a"))), "names of their own"),
        (lambda: Governor(name="g", phases=(phase("on", "of"), phase("off", "on"))), "did you mean 'off'"),
        (
            lambda: Governed(
                governors=tuple(
                    Governor(name=name, phases=(phase("a", "a", closes=("switch",)),)) for name in ("g", "h")
                )
            ),
            "switch must be worked by one governor, got 'g' and 'h'",
        ),
        (
            lambda: Governed(governors=(Governor(name="g", phases=(phase("a", "a"),)),) * 2),
            "governors must have names of their own",
        ),
        (
            lambda: Governed(
                governors=(
                    Governor(
                        name="g",
                        phases=(Phase(name="a", rules=(WhenIn(governor="h", phase="b", then="a"),)),),
                    ),
                )
            ),
            "'g' looks at phase 'b' of 'h', got none such",
        ),
        (
            lambda: run(
                pulsed(),
                Governed(governors=(Governor(name="g", phases=(phase("a", "a", closes=("swich",)),)),)),
                1e-3,
            ),
            "a switch 'swich' that is not there; did you mean 'switch'",
        ),
        (
            lambda: run(
                pulsed(),
                Governed(governors=(Governor(name="g", phases=(phase("a", "a", zeroes="past"),)),)),
                1e-3,
            ),
            "zeroes a counter 'past' that is not there",
        ),
        (
            lambda: run(
                pulsed(),
                Governed(
                    governors=(
                        Governor(
                            name="g",
                            phases=(
                                Phase(
                                    name="a",
                                    rules=(
                                        Above(
                                            sensor=Sensor(quantity="node", name="gab"), level=1.0, then="a"
                                        ),
                                    ),
                                ),
                            ),
                        ),
                    )
                ),
                1e-3,
            ),
            "watches the node of 'gab', which is not there; did you mean 'gap'",
        ),
        (
            lambda: run(pulsed(), pulses(), 1e-3, initial=Start(phases={"pulse": "paus"})),
            "no governor starts in 'pulse/paus', which is not there; did you mean 'pulse/pause'",
        ),
    ],
)
def test_governors_that_cannot_work_are_refused(make, message: str) -> None:
    with pytest.raises(InputRefused, match=message):
        make()
