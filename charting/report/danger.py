"""The signs of danger as they stand: what is raised and why, what was decided, what is still to be asked."""

from typing import Any

from bodymaps.reasoning.flags import Flag
from bodymaps.words import sentence_case
from charting.candidates.queries import Ranked
from charting.flags import queries as flags
from charting.flags.models import Decision
from charting.flags.queries import Standing
from charting.history import danger_screen
from charting.history import queries as history
from charting.history.models import DangerAnswer
from charting.history.queries import Answered
from charting.report.papers import clock, day, stopped
from charting.report.sources import Sources
from charting.visits.models import Visit

NO = str(DangerAnswer.Answer.NO.label)
# How the answers to what was asked on are put: what unsettles first.
ANSWERS = (DangerAnswer.Answer.YES, DangerAnswer.Answer.UNSURE, DangerAnswer.Answer.NO)


def danger(visit: Visit, found: Ranked, sources: Sources) -> dict[str, Any]:
    """Every question as it was asked, with its answer; each raised sign with its decisions. `undecided`: the
    signs of danger that ask for a decision and have none that still holds.
    """
    state, zone = found.flags, visit.patient.practice.time_zone
    grave = [one for one in state.standing if one.must_decide]
    return {
        **_screen(found),
        "undecided": [f"{flag.title} ({flag.level_words.lower()})" for flag in state.open_flags],
        "flags": [_flag(one, zone, sources) for one in grave],
        "watch": [_watched(one) for one in state.standing if not one.must_decide],
        "no_longer_raised": [
            {"title": one.shown["title"], "decision": _decision(one, zone)} for one in state.no_longer_raised
        ],
        "asked_on": _asked_on(visit),
        "to_ask": [
            {"title": one.group.title, "labels": [item.label for item in one.items]} for one in state.to_ask
        ],
    }


def _screen(found: Ranked) -> dict[str, Any]:
    screen = found.screen
    raised = history.alarms_among(screen)
    asked = danger_screen.load()
    alarms = {alarm.id for alarm in raised}
    answers = [_answer(each, each.question.id in alarms) for each in screen]
    plain = [each for each in answers if each["answer"] == NO and not each["remark"]]
    return {
        "version": asked.version,
        "is_complete": history.all_answered(screen),
        "local_rules": asked.local_rules,
        "alarms": [
            {
                "topic": alarm.topic,
                "answer": alarm.answer_words,
                "remark": alarm.remark,
                "urgency": alarm.urgency_words,
                "what_to_do": alarm.what_to_do,
            }
            for alarm in raised
        ],
        "answers": answers,
        # How they are printed: a plain no in a line, everything else in full.
        "noes": [each["topic"] for each in plain],
        "spoken": [each for each in answers if each not in plain],
    }


def _answer(each: Answered, is_alarm: bool) -> dict[str, Any]:
    return {
        "topic": each.question.topic,
        "question": each.question.question,
        "answer": each.answer_words,
        "remark": each.remark,
        "is_alarm": is_alarm,
    }


def _flag(standing: Standing, zone: str, sources: Sources) -> dict[str, Any]:
    flag = standing.flag
    return {
        "id": flag.id,
        "title": flag.title,
        "level": flag.level,
        "level_words": flag.level_words,
        "reasons": list(flag.reasons),
        "because": _because(flag),
        "action": flag.action,
        "differs": list(flag.differs),
        "is_open": standing.is_open,
        "news": list(standing.news),
        "decisions": [_decision(one, zone) for one in standing.decisions],
        "sources": [sources.number(one) for one in flag.sources],
    }


def _watched(standing: Standing) -> dict[str, Any]:
    flag = standing.flag
    return {
        "id": flag.id,
        "title": flag.title,
        "level_words": flag.level_words,
        "reasons": list(flag.reasons),
        "because": _because(flag),
        "action": flag.action,
    }


def _because(flag: Flag) -> str:
    return " ".join(stopped(sentence_case(reason)) for reason in flag.reasons)


def _decision(row: Decision, zone: str) -> dict[str, Any]:
    done = getattr(row, "followed_up", None)
    return {
        "outcome": row.get_outcome_display(),
        "level_words": row.shown["level_words"],
        "why": stopped(row.why),
        "called": row.called,
        "called_at": clock(row.called_at, zone) if row.called_at else "",
        "advised": stopped(row.advised),
        "understood": row.understood,
        "follow_up_on": day(row.follow_up_on) if row.follow_up_on else "",
        "followed_up": f"{stopped(done.words)} ({done.done_by}, {clock(done.done_at, zone)})" if done else "",
        "by": str(row.decided_by),
        "when": clock(row.decided_at, zone),
    }


def _asked_on(visit: Visit) -> list[dict[str, Any]]:
    """What was asked on, by answer: "yes" first, each with its remark."""
    known, rows = flags.asked_on(), flags.answers_of(visit)
    found = [
        (answer, [key for key in known if key in rows and rows[key].answer == answer]) for answer in ANSWERS
    ]
    return [
        {
            "answer": str(answer.label),
            "asked": [{"label": known[key].label, "remark": rows[key].remark} for key in keys],
        }
        for answer, keys in found
        if keys
    ]
