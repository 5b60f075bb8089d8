"""Short ways to ask what a case raises and what it calls for."""

from bodymaps.reasoning import case, flags
from bodymaps.reasoning.conditions import Facts
from bodymaps.reasoning.drawn import Drawn


def facts(*places, age=40, sex="unknown", history=None, findings=None, widespread=False):
    told = {"age": age, "sex": sex, "history": history or {}, "findings": findings or {}}
    drawn = {(place, "right", "ache") if isinstance(place, str) else place for place in places}
    return Facts(case.read(told), Drawn(frozenset(drawn), widespread))


def level(flag, *places, **told):
    """The level of one flag, or "" when it is not raised."""
    return next((one.level for one in flags.raised(facts(*places, **told)) if one.id == flag), "")


def said(flag, *places, **told):
    return next(one for one in flags.raised(facts(*places, **told)) if one.id == flag)


def asked(*places, **told):
    """The keys that are called for, with the group of each."""
    return {item.key: one.group.id for one in flags.to_ask(facts(*places, **told)) for item in one.items}
