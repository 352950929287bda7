"""A sweep on a scheduler of Dask: the same answer as here, and a refusal where there is none."""

import pytest

from gapwright.app.sweep import SweepWish, sweep
from gapwright.base.errors import InputRefused
from gapwright.base.progress import silent
from gapwright.shell.crews import Cluster, Processes
from gapwright.shell.points import KeptPoints
from gapwright.wiring import demo_text

distributed = pytest.importorskip("distributed", reason="the extra `cluster` is not installed")
WISH = SweepWish(rig="first-build.rig.toml", axes=("leads.inductance=100nH..1uH:log:5",))


def swept(place, crew):
    return sweep(WISH, read=demo_text, crew=crew, store=KeptPoints(str(place)), progress=silent)


@pytest.mark.slow
@pytest.mark.filterwarnings("ignore")
def test_a_scheduler_gives_the_same_answer(tmp_path):
    with distributed.LocalCluster(
        n_workers=1,
        threads_per_worker=1,
        processes=False,
        dashboard_address=None,
        protocol="tcp://",
        host="127.0.0.1",
    ) as local:
        there = swept(tmp_path / "there.jsonl", Cluster(local.scheduler_address))
    assert there == swept(tmp_path / "here.jsonl", Processes(1))


@pytest.mark.parametrize("address", ["foo", "192.0.2.7:8786", "tcp://192.0.2.7"])
def test_what_is_no_address_is_refused_at_once(address, tmp_path):
    with pytest.raises(InputRefused, match="--cluster must be an address such as tcp://192.0.2.7:8786"):
        swept(tmp_path / "none.jsonl", Cluster(address))


@pytest.mark.filterwarnings("ignore")
def test_an_address_without_a_scheduler_is_refused(tmp_path, monkeypatch):
    monkeypatch.setattr(Cluster, "PATIENCE", 0.5)
    with pytest.raises(InputRefused, match="must be the address of a running scheduler"):
        swept(tmp_path / "none.jsonl", Cluster("tcp://127.0.0.1:9"))
