"""Replies to an ask, made in threads: first looks, forecasts, and what changes between them."""

from collections.abc import Callable
from dataclasses import fields
from threading import Event
from time import perf_counter

from gapwright.app.bench import Sight, Texts, WrongFile
from gapwright.app.differences import forecast_differences, look_differences
from gapwright.base.errors import GapwrightError, InputRefused
from gapwright.base.progress import Stopped
from gapwright.shell.desk import Desk
from gapwright.study.grounds.outcome import Forecast
from gapwright.web.calls import Ask
from gapwright.web.messages import (
    Differences,
    LiveDifferences,
    LiveFault,
    LiveForecast,
    LiveGlance,
    LiveProgress,
    LiveRefused,
)
from gapwright.web.refusals import FAULT

SAVED = "saved"
EDITED = "edited"
PAUSE = 0.2
"""Least time between two words on progress [s]."""

Post = Callable[[object], None]


def told_of(error: Exception, ask: int, of: str) -> LiveRefused | LiveFault:
    """What the page is told of an error: a refusal as it is, a fault without its insides."""
    if isinstance(error, GapwrightError):
        wrong = error if isinstance(error, WrongFile) else None
        return LiveRefused(
            ask=ask,
            of=of,
            refused=str(error),
            path=(wrong.path or None) if wrong else None,
            kind=wrong.kind if wrong else None,
        )
    from gapwright.wiring import keep_fault

    keep_fault(error, ["bench", "live"])
    return LiveFault(ask=ask, refused=FAULT)


class Replies:
    """Makes the replies of one socket; remembers its last forecasts, to say what changes."""

    def __init__(self, desk: Desk) -> None:
        self.desk = desk
        self._forecasts: dict[str, tuple[Texts, Forecast]] = {}

    def others(self, ask: Ask) -> tuple[str, ...]:
        """What an ask is compared with: the saved files if there are changes, then the rigs named."""
        saved = (SAVED,) if ask.rig.changes or ask.job.changes else ()
        return (*saved, *dict.fromkeys(name for name in ask.compare if name not in (EDITED, SAVED)))

    def texts(self, ask: Ask, of: str) -> Texts:
        """Texts of what is edited, of the same as saved, or of a rig compared with on the edited job."""
        desk = self.desk
        if of == SAVED:
            return Texts(rig=desk.text("rig", ask.rig.name, {}), job=desk.text("job", ask.job.name, {}))
        job = desk.text("job", ask.job.name, ask.job.changes)
        if of == EDITED:
            return Texts(rig=desk.text("rig", ask.rig.name, ask.rig.changes), job=job)
        return Texts(rig=desk.text("rig", of, {}), job=job)

    def look(self, ask: Ask, of: str) -> LiveGlance:
        """First look."""
        texts = self.texts(ask, of)
        seen = self.desk.look(texts)
        return LiveGlance(
            ask=ask.ask,
            of=of,
            flow=seen.flow,
            waveforms=seen.waveforms,
            findings=seen.findings,
            cautions=seen.cautions,
            circuit=seen.circuit,
            differences=self._look_differences(ask) if of == EDITED else {},
        )

    def look_differences(self, ask: Ask) -> LiveDifferences:
        """What changes in the first look, once all of them are known."""
        return LiveDifferences(ask=ask.ask, of=EDITED, differences=self._look_differences(ask))

    def _look_differences(self, ask: Ask) -> Differences:
        here = self.desk.looked(self.texts(ask, EDITED))
        found: Differences = {}
        for of in self.others(ask) if here else ():
            try:
                there = self.desk.looked(self.texts(ask, of))
            except InputRefused:
                continue  # told where its own look is asked for
            if here and there:
                found[of] = look_differences((here.flow, here.circuit), (there.flow, there.circuit))
        return found

    def forecasts(self, ask: Ask, of: str, *, post: Post, stop: Event) -> None:
        """Post forecasts, each better than the one before, until all members are in or `stop` is set."""
        heard = Throttled(ask.ask, of, post, stop)
        try:
            texts = self.texts(ask, of)
            unfolding = self.desk.unfold(texts, members=ask.members, seed=ask.seed, progress=heard)
            for found in unfolding:
                if stop.is_set():
                    return
                self._forecasts[of] = (texts, found.sight.forecast)
                post(self._forecast(ask, of, found.answer, found.sight))
                if of != EDITED:
                    post(LiveDifferences(ask=ask.ask, of=EDITED, differences=self._differences(ask)))
        except Stopped:
            return
        except Exception as error:  # noqa: BLE001 - told to the page
            post(told_of(error, ask.ask, of))

    def _forecast(self, ask: Ask, of: str, answer: str, sight: Sight) -> LiveForecast:
        shown = {each.name: getattr(sight, each.name) for each in fields(sight)}
        differences = self._differences(ask) if of == EDITED else {}
        return LiveForecast(ask=ask.ask, of=of, answer=answer, differences=differences, **shown)

    def _differences(self, ask: Ask) -> Differences:
        """What changes in the forecast against every other that is known for just these texts."""
        here = self._forecasts.get(EDITED)
        found: Differences = {}
        for of in self.others(ask) if here else ():
            there = self._forecasts.get(of)
            if here and there and there[0] == self.texts(ask, of):
                found[of] = forecast_differences(here[1], there[1])
        return found


class Throttled:
    """Progress for a page: a few words a second, and no further once nobody waits."""

    def __init__(self, ask: int, of: str, post: Post, stop: Event) -> None:
        self._ask, self._of, self._post, self._stop = ask, of, post, stop
        self._last = 0.0

    def __call__(self, done: int, total: int, what: str) -> bool:
        """Pass on how far it is; False once it should stop."""
        now = perf_counter()
        if now - self._last >= PAUSE and not self._stop.is_set():
            self._last = now
            # The last step is told by the answer itself.
            self._post(
                LiveProgress(
                    ask=self._ask, of=self._of, says=what, done=min(done, total - 1), total=max(total, 1)
                )
            )
        return not self._stop.is_set()
