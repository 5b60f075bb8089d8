from django.urls import URLPattern, path

from charting.exchange import bring_views

urlpatterns: list[URLPattern] = [
    path("import/", bring_views.files, name="imports"),
    path("import/<slug:what>/", bring_views.bring, name="import-file"),
    path("import/of/<uuid:file_id>/", bring_views.shown, name="import-shown"),
    path("import/of/<uuid:file_id>/leave/", bring_views.leave, name="import-leave"),
]
