from django.urls import URLPattern, path

from charting.exchange import bring_views, export_views

urlpatterns: list[URLPattern] = [
    path("import/", bring_views.files, name="imports"),
    path("import/<slug:what>/", bring_views.bring, name="import-file"),
    path("import/of/<uuid:file_id>/", bring_views.shown, name="import-shown"),
    path("import/of/<uuid:file_id>/leave/", bring_views.leave, name="import-leave"),
    path("patients/<uuid:patient_id>/export/", export_views.export, name="export"),
    path("patients/<uuid:patient_id>/export/fhir/", export_views.person, name="export-person"),
    path("patients/<uuid:patient_id>/export/everything/", export_views.everything, name="export-everything"),
    path("visits/<uuid:visit_id>/export/", export_views.visit, name="export-visit"),
]
