"""Signs of danger in a sentence: what was decided and by whom; what was not decided or asked stays open."""

from charting.assessment.made import Danger
from charting.assessment.of_danger import of_danger, of_gaps
from tests.charting.assessment.records import record
from tests.charting.flags import conftest as flags

HEART = {"id": "heart", "title": "Heart", "because": "chest pain on effort"}
DECIDED = {"why": "Pain only on pressing.", "decided": "Mara Steiner on 4 May 2026"}


def said(*dangers, **more):
    return [(made.about, made.text) for made in of_danger(record(dangers=dangers, **more))]


def test_it_says_who_held_it_to_be_no_danger_when_and_why():
    outcome = "Asked and examined further; held to be no danger"
    danger = Danger(**HEART, **DECIDED, waits=False, outcome=outcome, cleared=True)
    assert said(danger) == [
        (
            "ruled_out",
            "Heart: asked and examined further; held to be no danger, decided by Mara Steiner on 4 May 2026. "
            "Pain only on pressing.",
        )
    ]


def test_it_never_rules_out_what_was_sent_on_or_is_not_decided():
    sent = Danger(
        **HEART, **DECIDED, waits=False, outcome="Sent", follow_up="to be followed up on 5 May 2026"
    )
    (about, text), *_ = said(sent)
    assert about == "open"
    assert text.endswith("; to be followed up on 5 May 2026.")
    for waits, words in ((True, "raised and not decided about"), (False, "to watch")):
        ((about, text),) = said(Danger(**HEART, waits=waits))
        assert about == "open"
        assert f"{words} (chest pain on effort)" in text


def test_it_leaves_open_what_was_not_asked_and_what_was_not_tested():
    asked = said(unanswered=(("screen", "Danger screen: 2 of 12 questions not answered."),))
    assert asked == [("open", "Danger screen: 2 of 12 questions not answered.")]
    (made,) = of_gaps(record(findings={"strength:C6": "NT"}))
    assert (made.about, made.text) == ("open", "Not tested, strength: Wrist extensors, right.")


def test_a_decision_of_the_visit_is_offered_with_the_visit_as_a_whole(visit, mara, page):
    flags.say(visit, bladder_bowel_saddle="yes")
    flags.decide(mara, visit, "cauda_equina")
    whole = next(card for card in page().cards if card.is_whole)
    texts = [made.text for group in whole.groups for made in group.offered]
    assert any(text.startswith("Cauda equina: ") and "decided by Mara Steiner on " in text for text in texts)
