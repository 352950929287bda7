"""Our own colours: each belongs to a meaning, and no meaning rests on colour alone.

The light and the dark set are chosen so that neighbours stay apart in lightness
as well as in hue, which keeps them apart for colour-blind readers and in grey print.
"""

LIGHT = {
    "ink": "#1f2a30",
    "quiet": "#5d686e",
    "line": "#c9cdc9",
    "paper": "#fcfbf7",
    "panel": "#f2f0e9",
    "store": "#3f4f9e",
    "spark": "#a63509",
    "metal": "#207c70",
    "metal_soft": "#d5e5e0",
    "electrode": "#af7e22",
    "electrode_soft": "#ecdfc3",
    "loss": "#a39c92",
    "wanted": "#761b52",
    "danger": "#a3201f",
    "care": "#b0690c",
    "note": "#56707f",
}
"""Colours on a light ground, by meaning."""

DARK = {
    "ink": "#e8e6df",
    "quiet": "#a3abad",
    "line": "#454e52",
    "paper": "#182024",
    "panel": "#222c31",
    "store": "#93a3ea",
    "spark": "#e6834e",
    "metal": "#62b89b",
    "metal_soft": "#29433f",
    "electrode": "#e7b64c",
    "electrode_soft": "#4a3f27",
    "loss": "#7f7a72",
    "wanted": "#db88be",
    "danger": "#f0756f",
    "care": "#e8a74b",
    "note": "#8fb0c2",
}
"""Colours on a dark ground, for screens that ask for it."""


def variables(colours: dict[str, str]) -> str:
    """Colours as declarations of a style sheet."""
    return "".join(f"--{name.replace('_', '-')}:{value};" for name, value in colours.items())
