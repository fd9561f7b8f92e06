"""A choice as plain data, and its words: routing, and troubles with their numbers in them."""

from __future__ import annotations

from typing import Any

from oilway import quantity
from oilway.quantity import Units, amount
from oilway.study.choose import JOBS, Choice, Option, Trouble

FORMAT = 1
INTO_OUTLET = "into its outlet: pressure there adds 1:1 to the setting"


def trouble_words(trouble: Trouble, units: Units) -> str:
    """What goes wrong, with its numbers."""
    return trouble.words.format(*(quantity.show(value, kind, units) for value, kind in trouble.values))


def drain_words(option: Option) -> str:
    """Where the spring chamber of an option drains to."""
    valve = option.valve
    if valve is None:
        return ""
    drains = [port for port, role in valve.roles.items() if role == "drain"]
    if drains:
        return (
            f"{' and '.join(drains)}, straight to tank: pressure there adds to the setting, that in its outlet not"
        )
    if option.name == "counterbalance":
        return "into its valve port: pressure there counts 1 + ratio times"
    if option.name == "brake":
        return "into its outlet: pressure there counts 1 + pilot ratio times"
    return INTO_OUTLET


def choice_data(choice: Choice, units: Units = "shop") -> dict[str, Any]:
    """The duty and every option, the best first."""
    duty = choice.duty
    return {
        "format": FORMAT,
        "job": duty.job,
        "duty": {
            "pressure": amount(duty.pressure, "pressure", units),
            "flow": amount(duty.flow, "flow", units),
            "drain": amount(duty.drain, "pressure", units),
            "other": None if duty.other is None else amount(duty.other, "pressure", units),
            "steady": None if duty.steady is None else amount(duty.steady, "pressure", units),
        },
        "chosen": None if choice.best is None else choice.best.title,
        "pilot": JOBS[duty.job].pilot,
        "options": [_option(option, units) for option in choice.options],
    }


def _option(option: Option, units: Units) -> dict[str, Any]:
    valve = option.valve
    return {
        "kind": option.name,
        "choices": option.choices,
        "setting": None
        if valve is None
        else {
            "pressure": amount(valve.pressure, "pressure", units),
            "at flow": amount(valve.flow, "flow", units),
            "range from": amount(valve.low, "pressure", units),
            "range to": amount(valve.high, "pressure", units),
        },
        "scale": None if valve is None else valve.scale,
        "drain": drain_words(option) or None,
        "figures": {m.name: amount(m.value, m.kind, units) for m in option.measures},
        "troubles": [trouble_words(trouble, units) for trouble in option.troubles],
    }
