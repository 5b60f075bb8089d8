from django.urls import URLPattern, path

from charting.merging import views

urlpatterns: list[URLPattern] = [
    path("patients/twice/", views.pairs, name="registered-twice"),
    path("patients/<uuid:patient_id>/merge/", views.find, name="merge-find"),
    path("patients/<uuid:patient_id>/merge/<uuid:other_id>/", views.merge, name="merge-records"),
    path("merges/<uuid:merge_id>/", views.merged, name="merged"),
]
