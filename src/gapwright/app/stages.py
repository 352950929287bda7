"""The stages that a joule passes, in words for somebody clever and new, and where parts of a file lie."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage:
    """One stage: its title, what happens there, and why it matters for the hole."""

    stage: str
    title: str
    happens: str
    matters: str
    dry: str = ""
    """What happens there on a rig without a liquid, where that is otherwise."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Term:
    """A word of the trade and what it means."""

    term: str
    means: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Words:
    """Words that explain the flow to a newcomer."""

    stages: tuple[Stage, ...]
    terms: tuple[Term, ...]


STAGES = (
    Stage(
        stage="socket",
        title="Socket",
        happens="The mains gives all the energy that anything on the rig uses.",
        matters="Only a small part of it ends in the metal: everything to the right shows where the rest "
        "goes.",
    ),
    Stage(
        stage="supply",
        title="Supply",
        happens="The supply turns mains into a steady, lower voltage and loses some of it as heat, even "
        "when idle.",
        matters="Its voltage and current limit bound how much power can ever reach the sparks.",
    ),
    Stage(
        stage="charger",
        title="Charger",
        happens="Between two sparks a resistor, or a coil with a switch and a diode, fills the store again.",
        matters="A resistor burns about as much as it delivers; a coil does not, so the same socket makes "
        "more sparks.",
    ),
    Stage(
        stage="store",
        title="Store",
        happens="A capacitor gathers energy for some microseconds to milliseconds and gives it back "
        "within about one.",
        matters="Its size and voltage set the energy of a spark: bigger sparks drill faster and leave "
        "rougher walls.",
    ),
    Stage(
        stage="leads",
        title="Leads",
        happens="The current of the spark runs through the wires and the sliding contact to the gap and "
        "back.",
        matters="Their resistance takes heat and their inductance holds the current back, so short and "
        "close is best.",
    ),
    Stage(
        stage="gap",
        title="Gap",
        happens="A few hundredths of a millimetre of liquid hold the voltage until they break down; "
        "shorts and leaks pass energy without a spark.",
        dry="Electrode and workpiece come within less than a micrometre and touch: some touches spark, the "
        "others pass current as a short until the electrode draws back.",
        matters="Keeping this distance is the controller's whole work: too wide and nothing sparks, too "
        "close and it only shorts.",
    ),
    Stage(
        stage="spark",
        title="Spark",
        happens="A channel thinner than a hair burns at some twenty volts and melts a tiny pit on both "
        "sides.",
        matters="What heats the electrode wears it, and what heats the liquid is lost; the rest does the "
        "work.",
    ),
    Stage(
        stage="metal",
        title="Metal",
        happens="Heat that enters the workpiece melts it; a little of the melt is thrown out, most "
        "freezes again.",
        matters="This is the drilling: how many joules it takes for a cubic millimetre decides the "
        "minutes of a hole.",
    ),
    Stage(
        stage="auxiliaries",
        title="Beside it",
        happens="Spindle, machine, pump and controller draw power all the while.",
        matters="On a small rig they often draw more than the sparks: a faster hole saves their energy too.",
    ),
)
"""Every stage, in the order of the flow; the auxiliaries run beside it."""

TERMS = (
    Term(
        term="band",
        means="Between its two ends lie nine in ten of the ways that the uncertain constants may be.",
    ),
    Term(term="member", means="One drilling, simulated with one draw of every uncertain constant."),
    Term(term="store", means="The capacitor that each spark empties."),
    Term(term="gap", means="The liquid or air between electrode and workpiece, where the sparks are."),
    Term(
        term="open voltage",
        means="What the gap sees when nothing flows: it must be well above the spark's own.",
    ),
    Term(term="overcut", means="How much wider than the electrode the hole comes out, on each side."),
    Term(
        term="short",
        means="Electrode and workpiece touch, or debris joins them: current flows without a spark.",
    ),
    Term(
        term="standing arc",
        means="A discharge that does not go out: it burns the place instead of eroding it.",
    ),
    Term(term="recast layer", means="Metal that melted and froze again on the wall of the hole."),
    Term(
        term="run-out", means="How far the turning electrode wobbles from side to side, read on a dial gauge."
    ),
)

PLACES = (
    ("supply", "supply"),
    ("generator.capacitor", "store"),
    ("generator.bleeder", "store"),
    ("generator", "charger"),
    ("leads", "leads"),
    ("setup.electrode", "spark"),
    ("setup.polarity", "spark"),
    ("setup.surroundings", ""),
    ("setup", "gap"),
    ("axis", "gap"),
    ("controller", "gap"),
    ("auxiliaries", "auxiliaries"),
    ("workpiece", "metal"),
    ("hole", "metal"),
    ("backing", "metal"),
    ("room_below", "metal"),
)
"""Stage of a key path: the first of these that it begins with."""

PARTS = {"supply": "supply", "store": "store", "gap": "gap"}
"""Stage of a part of the circuit; every other part belongs to the charger."""


def words() -> Words:
    """All the words."""
    return Words(stages=STAGES, terms=TERMS)


def stage_of(path: str) -> str:
    """Stage to which a key path of a file belongs; empty where it belongs to none.

    Examples
    --------
    >>> stage_of("generator.capacitor.esr"), stage_of("generator.coil"), stage_of("name")
    ('store', 'charger', '')
    """
    return next((stage for start, stage in PLACES if f"{path}.".startswith(f"{start}.")), "")


def stage_named(name: str) -> Stage:
    """A stage by its name; one that has no words yet speaks for itself."""
    unknown = Stage(stage=name, title=name.capitalize(), happens="", matters="")
    return next((stage for stage in STAGES if stage.stage == name), unknown)
