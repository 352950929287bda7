"""The pass over a capture, sample by sample and in plain words: what the compiled one must agree with."""

import numpy as np

from gapwright.capture import _rows_kernel as k


def beyond(i, edges, n):
    """Whether two samples in a row lie beyond the edges that begin a discharge."""
    on, negative = edges[0], edges[1]
    return n + 1 < len(i) and all(i[m] > on or i[m] < negative for m in (n, n + 1))


def summed(v, i, start, end, used, usual, it):
    """Sums of one discharge, by slices."""
    on, negative = it[0], it[1]
    width = end - start
    usual = max(usual, width)
    reach = 2 + usual // k.LEADING
    first, stop = max(start - reach, used), end
    while stop < min(len(v), end + 2 + k.TRAILING * usual) and not (i[stop] > on or i[stop] < negative):
        stop += 1
    y, x = v[first:stop].astype(float), i[first:stop].astype(float)
    inner = v[start + width // 5 : max(end - width // 5, start + width // 5 + 1)].astype(float)
    low = max(used, first - k.CALM)
    falls = [
        (float(v[m - 1]) - float(v[m]), -m)
        for m in range(max(used, start - reach - k.SMOOTH) + 1, min(start + 2, len(v)))
    ]
    best = max(falls, default=(0.0, 0))
    place = -best[1] if best[0] > 0 else start
    before = v[max(place - 2 - k.SMOOTH, used) : max(place - 2, 0)].astype(float)
    after = []
    for m in range(stop, min(len(v), stop + k.SMOOTH)):
        if i[m] > on or i[m] < negative:
            break
        after.append(float(v[m]))
    sums = [
        y.sum(), x.sum(), (y * x).sum(), float(i[start:end].max()), inner.mean(),
        np.sqrt(0.5 * (np.diff(inner) ** 2).sum() / max(len(inner) - 1, 1)),
        before.mean() if len(before) else float(v[max(place - 1, used)]),
        np.mean(after) if after else float(v[stop - 1]),
        i[low:first].astype(float).sum(), first - low,
    ]  # fmt: skip
    return sums, first, stop


class ByHand:
    """One capture, gone through sample by sample."""

    def __init__(self, v, i, vt, it, numbers):
        self.v, self.i, self.vt, self.it = v, i, vt, it
        self.hold, self.grace, _, self.usual, self.long, self.back = (int(each) for each in numbers)
        self.used, self.marks, self.sums = 0, [], []
        self.forget(0)

    def forget(self, begin):
        self.begin, self.ready, self.rise = begin, -1, -1

    def write(self, start, end, kind):
        sums, first, stop = [0.0] * k.SUMS, start, end
        if end > start:
            sums, first, stop = summed(self.v, self.i, start, end, self.used, self.usual, self.it)
            self.used = stop
        wait = self.v[self.begin : self.ready if self.ready >= 0 else start].astype(float)
        lows = arcs = 0
        if len(wait) > self.long:
            lows = np.sum(wait < self.vt[k.T_SHORT])
            arcs = np.sum((wait >= self.vt[k.T_ARC_FROM]) & (wait <= self.vt[k.T_ARC_TO]))
        self.marks.append([self.begin, self.ready, self.rise, lows, arcs, start, end, first, stop, kind])
        self.sums.append(sums)
        self.forget(end)
        return end

    def low(self, n):
        """A wait without voltage at sample n; what comes next and where."""
        v = self.v[n]
        if beyond(self.i, self.it, n):
            return "burning", n
        if v >= self.vt[k.T_READY]:
            back, least = n - 1, max(self.begin, n - self.back)
            while back >= least and self.v[back] >= self.vt[k.T_SHORT]:
                back -= 1
            self.ready, self.rise = n, n - back
            return "ready", n
        return "low", n + 1

    def fallen(self, n):
        """The voltage fell at sample n: a current within the grace, the voltage back, or neither."""
        for m in range(n, len(self.v)):
            if beyond(self.i, self.it, m):
                return "burning", m
            if self.v[m] >= self.vt[k.T_READY]:
                return "ready", m
            if m - n >= self.grace:
                return "low", self.write(n, n, k.FALL)
        return "cut", len(self.v)

    def burning(self, n):
        """A discharge from sample n on: until so many samples in a row are near zero."""
        last = n + 1
        for m in range(n, len(self.v)):
            if self.i[m] > self.it[k.T_OFF] or self.i[m] < self.it[k.T_NEGATIVE_OFF]:
                last = max(last, m)
            elif m - last >= self.hold:
                return "low", self.write(n, last + 1, k.DISCHARGE)
        self.write(n, min(last + 1, len(self.v)), k.DISCHARGE)
        return "cut", len(self.v)

    def through(self):
        """Marks and sums of the whole capture."""
        mode, n = "low", 0
        while n < len(self.v):
            if mode == "low":
                mode, n = self.low(n)
            elif mode == "burning":
                mode, n = self.burning(n)
            elif beyond(self.i, self.it, n):
                mode = "burning"
            elif self.v[n] < self.vt[k.T_UNREADY]:
                mode, n = self.fallen(n)
            else:
                n += 1
        if self.begin < len(self.v):
            self.write(len(self.v), len(self.v), k.CUT)
        return np.array(self.marks), np.array(self.sums)
