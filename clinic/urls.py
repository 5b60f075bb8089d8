"""Every address, in the order a clinician meets them."""

from django.urls import URLPattern, URLResolver, include, path

urlpatterns: list[URLPattern | URLResolver] = [
    path("", include(f"charting.{noun}.urls"))
    for noun in (
        "entrance",
        "drafts",
        "patients",
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
    )
]
handler400 = "charting.entrance.views.bad_request"
handler403 = "charting.entrance.views.not_allowed"
handler404 = "charting.entrance.views.not_found"
handler500 = "charting.entrance.views.went_wrong"
