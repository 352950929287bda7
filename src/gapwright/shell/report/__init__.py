"""The report: one page that stands by itself, for a screen, a phone and paper."""
