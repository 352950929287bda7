"""From files that a recorder saved to what the sparks did; and what to do before the first of them."""

from dataclasses import dataclass, field, replace
from typing import Any, Protocol

from gapwright.app.capture_answer import SCHEMA, CaptureAnswer, capture_answer
from gapwright.app.ports import TextSource
from gapwright.base.errors import InputRefused
from gapwright.base.progress import Progress, silent
from gapwright.capture.pyramid import Pyramid, pyramid_of
from gapwright.capture.reading import CaptureReading, understand
from gapwright.capture.recording import Recording, joined
from gapwright.capture.scaling import Hooked, Hookup, hooked
from gapwright.capture.settings import ReadingSettings
from gapwright.capture.waveform import Capture, Room, in_memory
from gapwright.rig.generator import Relaxation, gives_pulses
from gapwright.rig.reading import rig_from_text
from gapwright.rig.rig import Rig
from gapwright.rig.setup import is_dry
from gapwright.study.captures.recording_setup import RecordingSetup, recording_setup


class RecordingSource(Protocol):
    """Gives what a recorder saved at a place, read as options say."""

    def __call__(self, place: str, options: dict[str, Any]) -> Recording:
        """Recording at `place`; raises InputRefused if it cannot be had."""
        ...


class KeptSource(Protocol):
    """Gives a capture that was kept before."""

    def __call__(self, place: str) -> Capture | None:
        """Capture kept at `place`, or None where there is no kept capture."""
        ...


class CaptureSettler(Protocol):
    """Moves the samples of a capture to where they stay while it is looked at."""

    def __call__(self, capture: Capture) -> Capture:
        """Give the same capture with its samples elsewhere, such as mapped instead of in memory."""
        ...


def as_it_is(capture: Capture) -> Capture:
    """Leave samples where they are."""
    return capture


class CaptureKeeper(Protocol):
    """Keeps a capture."""

    def __call__(self, capture: Capture, folder: str, *, sources: tuple[str, ...]) -> object:
        """Keep `capture` in `folder`, whole or not at all."""
        ...


class ExtremesSource(Protocol):
    """Gives the extremes of the channels of a capture."""

    def __call__(self, places: tuple[str, ...], capture: Capture) -> dict[str, Pyramid]:
        """Extremes of the capture read from `places`, by `voltage` and `current`."""
        ...


def extremes_made(places: tuple[str, ...], capture: Capture) -> dict[str, Pyramid]:  # noqa: ARG001 - the shape of a source
    """Extremes made anew from all samples."""
    made = {"voltage": pyramid_of(capture.voltage)}
    return made if capture.current is None else made | {"current": pyramid_of(capture.current)}


@dataclass(frozen=True, slots=True, kw_only=True)
class CaptureRequest:
    """Files of one run and what the user says about them; what is left out is found out."""

    places: tuple[str, ...]
    rig: str | None = None
    file_options: dict[str, Any] = field(default_factory=dict)
    """Fields of `FileWish`."""
    hookup: dict[str, Any] = field(default_factory=dict)
    """Fields of `Hookup`."""
    settings: dict[str, Any] = field(default_factory=dict)
    """Fields of `ReadingSettings`."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CaptureHands:
    """What reading a capture needs from the world."""

    record: RecordingSource
    kept: KeptSource
    text: TextSource
    progress: Progress = silent
    settle: CaptureSettler = as_it_is
    extremes: ExtremesSource = extremes_made
    room: Room = in_memory
    """Where copies of samples go that do not fit what was read."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CaptureInHand:
    """A capture that was read, with all that its figures and its ledger need."""

    answer: CaptureAnswer
    capture: Capture
    reading: CaptureReading
    rig: Rig | None


@dataclass(frozen=True, slots=True, kw_only=True)
class RefusedFile:
    """A file of a batch that was refused, and why."""

    file: str
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BatchAnswer:
    """Captures read one by one."""

    schema: int
    captures: tuple[CaptureAnswer, ...]
    refused: tuple[RefusedFile, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnAnswer:
    """Places of the figures that were drawn."""

    schema: int
    figures: tuple[str, ...]


def capture_setup(rig_place: str, *, read: TextSource) -> RecordingSetup:
    """What the rig at `rig_place` asks of a recorder, and where its clip may go.

    Raises
    ------
    InputRefused
        If the file cannot be read or breaks a stated rule, or no spark can be struck.
    """
    return recording_setup(rig_from_text(read(rig_place), rig_place))


def read_capture(request: CaptureRequest, hands: CaptureHands) -> CaptureInHand:
    """What the sparks did in the files of a run.

    Raises
    ------
    InputRefused
        If a file cannot be read or answers less than was asked.
    """
    rig = rig_from_text(hands.text(request.rig), request.rig) if request.rig is not None else None
    source, made = _hooked(request, hands)
    beside = dict(source.settings) if source is not None else {}
    settings = ReadingSettings(**_from_rig(rig) | beside | request.settings)
    by_store = made.capture.current is None and settings.generator != "pulse"
    if by_store and settings.capacitance is None:
        raise InputRefused(
            "a capture without a current must come with the capacitance of its store, from which charge and "
            "energy follow; give --rig or --capacitance, or record the current too"
        )
    made = replace(made, capture=hands.settle(made.capture))
    reading = understand(made.capture, settings, progress=hands.progress)
    if made.voltage_zero is not None and reading.calibration.generator != "pulse":
        raise InputRefused(
            "the zero of a voltage is found between the pulses of a pulse generator, but this capture is "
            "of a store, whose gap does not rest at 0 V; give the zero, such as --voltage-zero "
            '"0.4 V", or leave it out'
        )
    answer = capture_answer(request.places, source, made, reading)
    return CaptureInHand(answer=answer, capture=made.capture, reading=reading, rig=rig)


def read_each(request: CaptureRequest, hands: CaptureHands) -> BatchAnswer:
    """What the sparks did in each file by itself; a file that is refused does not stop the others.

    Raises
    ------
    InputRefused
        If every file is refused.
    """
    read: list[CaptureAnswer] = []
    refused: list[RefusedFile] = []
    for done, place in enumerate(request.places):
        if not hands.progress(done, len(request.places), "captures read"):
            break
        try:
            read.append(read_capture(replace(request, places=(place,)), hands).answer)
        except InputRefused as refusal:
            refused.append(RefusedFile(file=place, reason=str(refusal)))
    if not read:
        raise InputRefused(refused[0].reason if refused else "no capture was read; name the files")
    return BatchAnswer(schema=SCHEMA, captures=tuple(read), refused=tuple(refused))


def keep_capture(in_hand: CaptureInHand, folder: str, *, keep: CaptureKeeper) -> None:
    """Keep a capture that was read.

    Raises
    ------
    InputRefused
        If something stands in `folder` already.
    """
    keep(in_hand.capture, folder, sources=in_hand.answer.files)


def _hooked(request: CaptureRequest, hands: CaptureHands) -> tuple[Recording | None, Hooked]:
    """Gap voltage and current, from a kept capture or from files."""
    if not request.places:
        raise InputRefused("a capture must be at least one file, got none; name the files of the run")
    twice = next((place for place in request.places if request.places.count(place) > 1), None)
    if twice is not None:
        raise InputRefused(f"a file of a run must be given once, got {twice!r} twice; leave one out")
    kept = [hands.kept(place) for place in request.places]
    if kept[0] is not None:
        if len(kept) > 1 or request.hookup or request.file_options:
            raise InputRefused(
                f"{request.places[0]!r} is a kept capture, which takes no other file and no options of the "
                "recorder; read the original files anew for that"
            )
        current = "current" if kept[0].current is not None else ""
        return None, Hooked(capture=kept[0], voltage_channel="voltage", current_channel=current)
    whole = joined([hands.record(place, request.file_options) for place in request.places], hands.room)
    return whole, hooked(whole, Hookup(**{**whole.hookup, **request.hookup}), hands.room)


def _from_rig(rig: Rig | None) -> dict[str, Any]:
    """What a rig file tells of its captures."""
    if rig is None:
        return {}
    generator, supply = rig.generator, rig.supply
    known: dict[str, Any] = {
        "generator": "pulse" if gives_pulses(generator) else "capacitor",
        "inductance": rig.leads.inductance,
        "dry": is_dry(rig.setup.liquid),
        "turning": rig.setup.spindle.speed or None,
    }
    if gives_pulses(generator):
        return known
    store = known["capacitance"] = generator.capacitor.capacitance
    if isinstance(generator, Relaxation):
        known["time_constant"] = store * (generator.resistor.resistance + supply.output_resistance)
    return known
