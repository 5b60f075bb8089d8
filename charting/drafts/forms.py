"""A draft put back into the form it was typed into."""

from typing import Any

from django import forms

from charting.drafts.models import Draft
from charting.drafts.queries import as_form_data


def typed_into(form: forms.Form, draft: Draft | None) -> dict[str, Any]:
    """The values of a draft by field of `form`, fit for its `initial`; {} when there is no draft.

    A field that the draft does not mention is left out, so that what is on record stays.
    """
    if draft is None:
        return {}
    data = as_form_data(draft)
    return {
        name: field.widget.value_from_datadict(data, {}, form.add_prefix(name))
        for name, field in form.fields.items()
        if not field.widget.value_omitted_from_data(data, {}, form.add_prefix(name))
    }
