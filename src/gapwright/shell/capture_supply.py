"""Power of a supply that was recorded, by the name of its capture; found once for each file."""

from pathlib import Path
from threading import Lock

from gapwright.app.captures import CaptureHands
from gapwright.app.measured import SupplyPower, supply_power
from gapwright.base.errors import InputRefused
from gapwright.shell.capture_place import SIDE_CAR, CapturePlace
from gapwright.shell.captures.kept import is_kept, kept_capture
from gapwright.shell.captures.reading import recording_at
from gapwright.shell.captures.rooms import room

MOST = 16


class SupplyDesk:
    """Supplies that were recorded, among the captures of a place."""

    def __init__(self, place: CapturePlace) -> None:
        self._place = place
        self._known: dict[tuple[object, ...], SupplyPower] = {}
        self._lock = Lock()

    def power(self, name: str) -> SupplyPower:
        """Mean power in the capture of a supply; one is read at a time.

        Raises
        ------
        NotThere
            If there is no capture of that name.
        InputRefused
            If it holds no power of a supply.
        """
        path = self._place.found(name)
        with self._lock:
            as_it_is = _state(path)
            if as_it_is not in self._known:
                self._known[as_it_is] = _power(path)
                while len(self._known) > MOST:
                    self._known.pop(next(iter(self._known)))
            return self._known[as_it_is]


def _state(path: Path) -> tuple[object, ...]:
    beside = path.with_name(path.name + SIDE_CAR)
    told = [(each.stat().st_mtime_ns, each.stat().st_size) for each in (path, beside) if each.exists()]
    return (path, *told)


def _power(path: Path) -> SupplyPower:
    hands = CaptureHands(
        record=recording_at,
        kept=lambda place: kept_capture(place) if is_kept(place) else None,
        text=lambda _: "",
        room=room,
    )
    try:
        return supply_power(str(path), hands)
    except InputRefused as refusal:
        raise InputRefused(str(refusal).replace(f"{path.parent}/", "")) from None
