"""Every form field on every page is drawn by one template: templates/forms/field.html."""

from django.forms.renderers import TemplatesSetting


class Pieces(TemplatesSetting):
    """Django's own widgets, our field layout (label, hint, error, control)."""

    field_template_name = "forms/field.html"
