"""Every address, in the order a clinician meets them."""

from django.urls import URLPattern, URLResolver, include, path

urlpatterns: list[URLPattern | URLResolver] = [
    path("", include(f"charting.{noun}.urls"))
    for noun in (
        "entrance",
        "staff",
        "drafts",
        "patients",
        "sites",
        "contacts",
        "episodes",
        "visits",
        "appointments",
        "history",
        "drawing",
        "handover",
        "outcomes",
        "telling",
        "moving",
        "patterns",
        "atlas",
        "flags",
        "candidates",
        "rules",
        "screening",
        "examining",
        "examination",
        "assessment",
        "consent",
        "treatment",
        "intake",
        "progress",
        "insurance",
        "coding",
        "report",
        "notes",
        "letters",
        "merging",
        "exchange",
        "review",
        "retention",
        "oversight",
    )
]
handler400 = "charting.entrance.views.bad_request"
handler403 = "charting.entrance.views.not_allowed"
handler404 = "charting.entrance.views.not_found"
handler500 = "charting.entrance.views.went_wrong"
