"""What the pages of an episode may use."""

from dataclasses import dataclass

from django import forms

from charting.drafts.models import Draft
from charting.episodes.models import Episode, EpisodeEvent
from charting.episodes.queries import last_discharge


@dataclass(frozen=True)
class EpisodePage:
    """One episode with a form about it. `clashes` are (label, on record, typed) after two saves at once."""

    episode: Episode
    form: forms.Form
    discharge: EpisodeEvent | None
    draft_key: str = ""
    draft: Draft | None = None
    clashes: tuple[tuple[str, str, str], ...] = ()


def episode_page(
    episode: Episode,
    form: forms.Form,
    draft_key: str = "",
    draft: Draft | None = None,
    clashes: tuple[tuple[str, str, str], ...] = (),
) -> EpisodePage:
    return EpisodePage(episode, form, last_discharge(episode), draft_key, draft, clashes)
