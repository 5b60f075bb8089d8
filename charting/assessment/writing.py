"""What becomes of the words on record when a form comes back: plain data in, plain data out."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace

from charting.assessment.made import Made
from charting.assessment.written import OWN, OWN_KEY, By, Sentence, Source, Written


@dataclass(frozen=True)
class Asked:
    """What a form asks for. `certainty`: by source, "" for not named; `names`: what sources are called that
    are new. `texts`: of sentences by key. `take`, `remove`, `renew` (take the words of the record) and `keep`
    (stay with one's own) are keys; `own` is a further sentence.
    """

    certainty: Mapping[By, str] = field(default_factory=dict)
    names: Mapping[By, str] = field(default_factory=dict)
    texts: Mapping[str, str] = field(default_factory=dict)
    take: frozenset[str] = frozenset()
    remove: frozenset[str] = frozenset()
    renew: frozenset[str] = frozenset()
    keep: frozenset[str] = frozenset()
    own: str = ""


def apply(said: Written, asked: Asked, made: Mapping[str, Made]) -> Written:
    """What is written after it. `made`: what the record says now, by key. Sentences that are not mentioned
    stay; one whose text was emptied is taken out.
    """
    sentences = [_changed(each, asked, made.get(each.key)) for each in said.sentences]
    known = {each.key for each in sentences}
    sentences += (_typed(key, text, made.get(key)) for key, text in asked.texts.items() if key not in known)
    known |= set(asked.texts)
    sentences += (_taken(one) for key, one in made.items() if key in asked.take and key not in known)
    if asked.own:
        sentences.append(Sentence(_next_own(sentences), OWN, asked.own))
    return Written(tuple(_sources(said, asked)), tuple(sentences))


def joined(said: Written, other: Written) -> Written:
    """Both in one, nothing lost: a source named twice keeps its first certainty, and a sentence that both
    hold in other words stands twice, the second as one's own.
    """
    sources = [*said.sources, *(each for each in other.sources if not said.source(each.by))]
    sentences = list(said.sentences)
    for each in other.sentences:
        same = next((one for one in sentences if one.key == each.key), None)
        if same is None:
            sentences.append(each)
        elif (same.text, same.out) != (each.text, each.out):
            sentences.append(replace(each, key=_next_own(sentences)))
    return Written(tuple(sources), tuple(sentences))


def as_lists(said: Written) -> dict[str, list[dict[str, object]]]:
    """The lists of a Conclusion."""
    return {
        "sources": [vars(each) for each in said.sources],
        "sentences": [vars(each) for each in said.sentences],
    }


def _sources(said: Written, asked: Asked) -> Iterator[Source]:
    for each in said.sources:
        word = asked.certainty.get(each.by, each.certainty)
        if word:
            yield replace(each, certainty=word)
    for by, word in asked.certainty.items():
        if word and not said.source(by):
            yield Source(*by, certainty=word, name=asked.names[by])


def _changed(each: Sentence, asked: Asked, made: Made | None) -> Sentence:
    if each.out:
        return _back(each, made) if each.key in asked.take else each
    text = asked.texts.get(each.key, each.text)
    if each.key in asked.remove or not text:
        return replace(each, text=text or each.text, out=True)
    if each.key in asked.renew and made:
        return _taken(made)
    if each.key in asked.keep:
        return _kept(replace(each, text=text), made)
    return replace(each, text=text, about=made.about if made else each.about)


def _back(each: Sentence, made: Made | None) -> Sentence:
    """Taken again: in the words it was taken out with, unless they were the record's own."""
    if made and not each.is_edited:
        return _taken(made)
    return replace(each, out=False)


def _kept(each: Sentence, made: Made | None) -> Sentence:
    """The clinician's words stand beside what the record says now; what it says no more is one's own."""
    return (
        replace(each, made_from=made.text)
        if made
        else replace(each, key=f"{OWN_KEY}{each.key}", made_from="")
    )


def _taken(made: Made) -> Sentence:
    return Sentence(made.key, made.about, made.text, made.text)


def _typed(key: str, text: str, made: Made | None) -> Sentence:
    """A text of a sentence that is on record no more: what was typed is kept."""
    if made:
        return Sentence(key, made.about, text, made.text)
    return Sentence(key if key.startswith(OWN_KEY) else f"{OWN_KEY}{key}", OWN, text)


def _next_own(sentences: Iterable[Sentence]) -> str:
    held = {each.key for each in sentences}
    return next(key for number in range(1, len(held) + 2) if (key := f"{OWN_KEY}{number}") not in held)
