"""How to hook up a recorder, as text."""

from rich.console import Console
from rich.text import Text

from gapwright.app.wording import quantity_text
from gapwright.cli.show.circuit import show_lines
from gapwright.cli.show.paper import heading, paper, paragraph, plain_table
from gapwright.study.captures.earth_clip import EarthClip
from gapwright.study.captures.recording_setup import RecordingSetup, Sampling


def show_setup(found: RecordingSetup) -> None:
    """Print where the clip goes, what the recorder must do, probe, shunt and the way with one channel."""
    console = paper()
    console.print(Text(f"{found.rig}: hooking up a recorder", style="bold"))
    console.print()
    show_earth(console, found.earth)
    console.print()
    console.print(heading("What the pulses ask of the recorder"))
    show_lines(console, sampling_lines(found.sampling, found.sparks_hz))
    for title, text in (
        ("Probe", found.probe_advice),
        ("Shunt", found.shunt.advice),
        ("Shared wires", found.shared_lead_advice),
        ("One channel only", found.one_channel.advice),
        ("Reading it afterwards", f"gapwright capture read FILE --rig RIG {found.reading_options}"),
    ):
        console.print()
        console.print(heading(title))
        console.print(paragraph(text))


def show_earth(console: Console, earth: EarthClip) -> None:
    """Print each place for the clip with what it shorts."""
    console.print(heading("Where the earth clip may go"))
    names = ("place", "workpiece on an earthed frame", "workpiece insulated")
    table = plain_table(*((name, "left") for name in names), heading=True)
    for place in earth.places:
        mark = "*" if place.place == earth.best else " "
        table.add_row(f"{mark} {place.place}", words(place.shorts_on_frame), words(place.shorts_insulated))
    console.print(table)
    console.print(paragraph(earth.advice))
    energy = quantity_text(earth.wrong_energy_j, "J")
    console.print(
        paragraph(
            f"A clip that shorts the full store takes {energy} in a pulse of about "
            f"{quantity_text(earth.wrong_peak_a, 'A')}."
        )
    )


def words(shorts: tuple[str, ...]) -> Text:
    """What a place shorts."""
    if not shorts:
        return Text("shorts nothing")
    return Text("SHORTS " + " and ".join(str(each) for each in shorts), style="bold red")


def sampling_lines(sampling: Sampling, sparks: float) -> list[tuple[str, str]]:
    """What the recorder must do, line by line."""
    return [
        ("a pulse lasts", quantity_text(sampling.pulse_s, "s")),
        ("and peaks after", quantity_text(sampling.rise_s, "s")),
        ("samples a second, for energy and peak", quantity_text(sampling.good_rate_hz, "Hz")),
        ("samples a second, at the very least", quantity_text(sampling.least_rate_hz, "Hz")),
        ("bandwidth", quantity_text(sampling.bandwidth_hz, "Hz")),
        ("bits", str(sampling.bits)),
        ("voltage range, each way", quantity_text(sampling.voltage_range_v, "V")),
        ("current range, each way", quantity_text(sampling.current_range_a, "A")),
        ("sparks a second", quantity_text(sparks, "Hz")),
        ("record for", quantity_text(sampling.record_s, "s")),
        ("samples of each channel then", f"{sampling.record_samples:,}".replace(",", "\u202f")),
    ]
