"""Modes worked out together are those worked out one by one, whoever is beside them."""

from dataclasses import replace

import numpy as np
import pytest

from gapwright.circuit.engine.batch import decomposed_together, worked_together
from gapwright.circuit.engine.engine import run
from gapwright.circuit.engine.terms import decomposed, rebuilt
from gapwright.circuit.network.elements import Capacitor, Inductor, Resistor
from tests.two_generators import CLOCK, STRIKES, relaxation, step_up

SPAN = 12e-3


def members(count, *, seed=5, netlist=None):
    """Circuits whose inductances, capacitances and resistances differ by some percent."""
    made, draws = [], np.random.default_rng(seed)
    for _ in range(count):
        parts = []
        for part in (netlist or step_up()).elements:
            f = 1.0 + 0.1 * draws.standard_normal()
            if isinstance(part, Inductor):
                part = replace(part, henries=part.henries * f)
            elif isinstance(part, Capacitor):
                part = replace(part, farads=part.farads * f)
            elif isinstance(part, Resistor):
                part = replace(part, ohms=part.ohms * f)
            parts.append(part)
        made.append(replace(netlist or step_up(), elements=tuple(parts)))
    return made


@pytest.fixture(scope="module")
def masks():
    return run(step_up(), CLOCK, SPAN, ignition=STRIKES).trace.book.masks


def test_terms_rebuild_their_matrix_and_agree_with_those_made_alone(masks):
    for own in worked_together(members(6), masks):
        for solved, terms in own.values():
            alone = decomposed(solved.system)
            assert (terms.modal, terms.reals) == (alone.modal, alone.reals)
            assert np.allclose(np.sort(terms.rates), np.sort(alone.rates), rtol=1e-9, atol=0.0)
            error = np.abs(rebuilt(terms) - solved.system).max()
            assert error <= 1e-10 * np.abs(solved.system).max()


def test_who_is_beside_a_member_changes_nothing(masks):
    all_of_them = members(7)
    whole = worked_together(all_of_them, masks)
    pair = worked_together(all_of_them[3:5], masks)
    for together, few in zip(whole[3:5], pair, strict=True):
        for mask in masks:
            for name in ("rates", "state_of", "terms_of"):
                assert np.array_equal(getattr(together[mask][1], name), getattr(few[mask][1], name))


def test_a_run_on_prepared_modes_is_the_run(masks):
    for netlist, worked in zip(members(3), worked_together(members(3), masks), strict=True):
        alone = run(netlist, CLOCK, SPAN, ignition=STRIKES)
        ready = run(netlist, CLOCK, SPAN, ignition=STRIKES, worked=worked)
        assert ready.joules("in") == pytest.approx(alone.joules("in"), rel=1e-10)
        assert len(ready.sparks) == len(alone.sparks)
        assert ready.sparks["peak_a"] == pytest.approx(alone.sparks["peak_a"], rel=1e-9)


def test_modes_that_were_not_prepared_are_made_when_met(masks):
    (netlist,) = members(1)
    (some,) = worked_together([netlist], masks[:2])
    assert run(netlist, CLOCK, SPAN, ignition=STRIKES, worked=some).joules("in") == pytest.approx(
        run(netlist, CLOCK, SPAN, ignition=STRIKES).joules("in"), rel=1e-10
    )


def test_matrices_that_are_not_well_apart_go_the_careful_way():
    # A chain of equal rates has only one vector; beside it a plain one.
    chain = np.array([[-1.0, 1.0, 0.0], [0.0, -1.0, 0.0], [0.0, 0.0, 0.0]])
    plain = np.diag([-1.0, -2.0, 0.0])
    first, second = decomposed_together(np.array([chain, plain]))
    assert not first.modal
    assert second.modal
    assert sorted(second.rates) == [-2.0, -1.0, 0.0]


def test_circuits_without_a_coil_are_prepared_too():
    netlists = members(4, netlist=relaxation())
    for own in worked_together(netlists, [0, 1]):
        assert all(terms.modal for _, terms in own.values())
    assert worked_together([], [0]) == []
