"""Draws the pictures of the README from a real forecast of the demo: ``python docs/gallery/draw.py``."""

from pathlib import Path

from gapwright import wiring
from gapwright.app.demo import DemoFiles, demo
from gapwright.app.flow import flow_of
from gapwright.base.progress import silent
from gapwright.shell.figures.canvas import WIDE, picture_bytes
from gapwright.shell.figures.depth import depth_against_time
from gapwright.shell.figures.flow import flow_across
from gapwright.shell.figures.section import section_to_scale

HERE = Path(__file__).parent
RIG = "first-build"


def main() -> None:
    """Forecast the rig of the README and draw it."""
    texts = DemoFiles(
        name=RIG, rig=wiring.demo_text(f"{RIG}.rig.toml"), job=wiring.demo_text(f"{RIG}.job.toml")
    )
    answer = demo([texts], effort=wiring.effort(seed=0, members=64, progress=silent))[0]
    figures = {
        "section": section_to_scale(answer.forecast, answer.pictures, WIDE),
        "energy": flow_across(flow_of(answer.forecast.ledger)),
        "depth": depth_against_time(answer.forecast, answer.pictures, WIDE),
    }
    for name, figure in figures.items():
        (HERE / f"{RIG}-{name}.png").write_bytes(picture_bytes(figure, dots_per_inch=130.0))


if __name__ == "__main__":
    main()
