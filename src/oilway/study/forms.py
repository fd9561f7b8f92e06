"""Kinds of test as data: what each reads, which figures come out, when they count, and its cautions."""

from __future__ import annotations

from dataclasses import dataclass, field

HEADER = (
    "Done by a trained person to the maker's manual and the local rules; where they say otherwise, they decide. A "
    "teaching calculation is not authority."
)
HOT = "Hot oil: gloves and face shield; let no line be opened before it has cooled and is bled."
INJECTION = (
    "Injection: look for a leak with a piece of card, never with a hand. A prick by oil: to hospital at once, "
    "small as it looks."
)
RATED = "Gauge, hose and fittings rated above the setting; hoses tied down; nobody in line with them."
NEVER_HEAD = "Never dead-head the tester between pump and relief: open its load valve before the engine starts."
RESTORE = "Put every setting and cap back, lock and seal it, and write down what was left."


@dataclass(frozen=True)
class Given:
    """A number the sheet needs: kind of quantity, meaning, default as text (``None``: it has to be entered)."""

    kind: str
    meaning: str
    default: str | None = None


@dataclass(frozen=True)
class Value:
    """A reading typed on its own, "2290 psi, 2285 psi": its kind, the column whose instrument showed it."""

    kind: str
    column: str
    needed: bool = True


@dataclass(frozen=True)
class Stated:
    """A condition that only the person there can vouch for: ``key: yes`` in the file."""

    key: str
    why: str


@dataclass(frozen=True)
class Form:
    """One kind of test. ``columns`` must be in its rows (none: it has no rows), ``optional`` may be; ``swept`` is
    the column that goes up and down; ``figures`` are what limits can be set for, with their kind of quantity."""

    name: str
    title: str
    figures: dict[str, str]
    cautions: tuple[str, ...]
    columns: tuple[str, ...] = ()
    optional: tuple[str, ...] = ()
    swept: str = ""
    both_ways: bool = True
    given: dict[str, Given] = field(default_factory=dict)
    values: dict[str, Value] = field(default_factory=dict)
    stated: tuple[Stated, ...] = ()
    warm: bool = True


LOGGED = ("t", "n", "temp")
STEP = {
    "step peak": "pressure",
    "step overshoot": "pressure",
    "step overshoot share": "ratio",
    "step settling time": "time",
    "step damping ratio": "number",
}
_RATED_FLOW = Given("flow", "the flow at which full-flow pressure is read")
_CRACKED = Given("ratio", "share of the rated flow that counts as cracked", "1 %")

_ALL = (
    Form(
        "relief",
        "Relief valve: pressure against flow, rising and falling",
        {
            "cracking pressure": "pressure",
            "full-flow pressure": "pressure",
            "corrected setting": "pressure",
            "override": "pressure",
            "override share": "ratio",
            "reseating pressure": "pressure",
            "reseating share": "ratio",
            "hysteresis": "pressure",
            "repeatability": "pressure",
            "leakage": "flow",
            **STEP,
        },
        (
            RATED,
            NEVER_HEAD,
            "Raise the load slowly and watch P: a relief stuck shut does not stop at its setting.",
            HOT,
            INJECTION,
            RESTORE,
        ),
        ("Q", "P"),
        ("T", "V", "D", *LOGGED),
        "Q",
        given={"rated flow": _RATED_FLOW, "cracking flow": _CRACKED},
        values={
            "repeats": Value("pressure", "P", needed=False),
            "leakage volume": Value("volume", "vessel", needed=False),
            "leakage time": Value("time", "watch", needed=False),
            "leakage pressure": Value("pressure", "P", needed=False),
        },
    ),
    Form(
        "pump flow",
        "Pump: flow against pressure, and case leakage",
        {
            "flow at low pressure": "flow",
            "flow at rated pressure": "flow",
            "flow loss": "ratio",
            "case leakage": "flow",
            "case leakage share": "ratio",
        },
        (
            NEVER_HEAD,
            RATED,
            "Case line into an open vessel or a meter without back-pressure: a blocked case bursts its seal.",
            HOT,
            INJECTION,
            RESTORE,
        ),
        ("P", "Q"),
        ("QC", *LOGGED),
        "P",
        both_ways=False,
        given={
            "rated pressure": Given("pressure", "the pressure at which flow and case leakage are judged"),
            "low pressure": Given("pressure", "where the flow is taken as not yet reduced by leakage", "100 psi"),
            "rated flow": Given("flow", "flow at rated speed, of which case leakage is a share"),
        },
    ),
    Form(
        "reducing",
        "Reducing valve: outlet pressure against flow",
        {
            "reduced pressure at no flow": "pressure",
            "reduced pressure at full flow": "pressure",
            "droop": "pressure",
            "drain flow": "flow",
        },
        (
            RATED,
            "A blocked drain can hold inlet pressure: shut down, bleed, fit a gauge rated for inlet pressure; "
            "never open it into a bucket.",
            HOT,
            INJECTION,
            RESTORE,
        ),
        ("Q", "R", "P"),
        ("D", "QC", *LOGGED),
        "Q",
        both_ways=False,
        given={
            "rated flow": _RATED_FLOW,
            "least supply over outlet": Given(
                "pressure", "inlet above outlet, or the valve does nothing", "100 psi"
            ),
        },
    ),
    Form(
        "counterbalance",
        "Counterbalance valve: opening pressure at the load port",
        {
            "opening pressure": "pressure",
            "corrected opening": "pressure",
            "opening over load": "ratio",
            "reseating pressure": "pressure",
            "reseating share": "ratio",
        },
        (
            "Suspended load: mechanically supported before the valve is loosened. Set on the bench, unless the "
            "maker's manual says otherwise.",
            "On some valves screwing in lowers the setting: know the direction before the first turn.",
            RATED,
            INJECTION,
            RESTORE,
        ),
        ("Q", "L"),
        ("X", "B", *LOGGED),
        "Q",
        given={
            "opening flow": Given("flow", "the small flow at which the valve counts as open"),
            "highest load pressure": Given("pressure", "what the heaviest load makes at the load port"),
            "pilot ratio": Given(
                "number", "pilot area over load area; for the back-pressure of an unvented valve", "0"
            ),
        },
        stated=(
            Stated("on the bench", "in the machine a suspended load is in the way"),
            Stated("adjuster direction known", "which way raises the setting differs between valves"),
            Stated("pilot at tank", "pilot pressure opens the valve early by ratio x pilot pressure"),
        ),
    ),
    Form(
        "load sensing",
        "Load-sensing pump: margin while moving, standby in neutral",
        {"margin": "pressure", "standby": "pressure", "load-sensing line in neutral": "pressure"},
        (
            "The function moves during this test: exclusion zone, load low, nobody under it.",
            RATED,
            HOT,
            INJECTION,
            RESTORE,
        ),
        values={
            "pump pressure moving": Value("pressure", "P"),
            "load-sensing pressure moving": Value("pressure", "LS"),
            "pump pressure neutral": Value("pressure", "P"),
            "load-sensing pressure neutral": Value("pressure", "LS"),
        },
        stated=(
            Stated("function moving", "at the end of stroke the compensator rules, not the margin"),
            Stated("pump not at full stroke", "a pump at full stroke has no margin left to show"),
        ),
    ),
    Form(
        "cylinder bypass",
        "Cylinder: oil past the piston at the end of its stroke",
        {"bypass flow": "flow"},
        (
            "Boom or load mechanically restrained, cylinder at the end of its stroke, engine off and pressure "
            "bled before the rod port is opened.",
            INJECTION,
            "Collect hot oil in a closed container, not in an open bucket.",
            "A fully supported load makes no pressure and proves nothing: the pressure comes from the pump.",
            RESTORE,
        ),
        values={
            "collected volume": Value("volume", "vessel"),
            "collecting time": Value("time", "watch"),
            "pressure": Value("pressure", "P"),
        },
        given={"test pressure": Given("pressure", "pressure the maker asks for on the other side of the piston")},
        stated=(
            Stated("end of stroke", "elsewhere the oil at the rod port is what the piston displaces"),
            Stated("boom restrained", "the rod must not move while its port is open"),
        ),
    ),
    Form(
        "precharge",
        "Accumulator: gas precharge",
        {"precharge": "pressure", "gas pressure": "pressure"},
        (
            "Stored energy: bleed the oil side to zero and prove it before the gas valve is touched.",
            "Dry nitrogen only, through a regulator; never oxygen, never air.",
            "Nobody in line with the gas valve.",
            RESTORE,
        ),
        values={
            "gas pressure": Value("pressure", "P"),
            "gas temperature": Value("temperature", "temp"),
        },
        given={
            "reference temperature": Given("temperature", "temperature for which the precharge is given", "68 F")
        },
        stated=(
            Stated("oil side bled", "with oil in the shell the gauge shows oil, not precharge"),
            Stated("temperature settled", "gas just filled or just worked is warmer than its shell"),
        ),
        warm=False,
    ),
    Form(
        "compare",
        "Two functions at stall: is one lower than the other?",
        {"difference": "pressure"},
        (
            "Only seconds at a time: all the oil goes over a relief and heats.",
            "Machine moves to its stops: exclusion zone, nobody under it.",
            RATED,
            RESTORE,
        ),
        values={"first stall": Value("pressure", "P"), "second stall": Value("pressure", "P2")},
        stated=(Stated("same engine speed", "at less flow a relief reads lower"),),
    ),
    Form(
        "step",
        "Step response: pressure after a sudden load",
        STEP,
        (
            RATED,
            "The peak lies above the setting: gauge and hose are rated for it, or a transducer is used.",
            INJECTION,
            RESTORE,
        ),
    ),
)
FORMS: dict[str, Form] = {form.name: form for form in _ALL}
