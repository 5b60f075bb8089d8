from django.urls import path

from charting.atlas import views

urlpatterns = [
    path("atlas/", views.atlas, name="atlas"),
    path("atlas/sources/", views.sources, name="atlas-sources"),
    path("atlas/<str:kind>/<str:name>/", views.entry, name="atlas-entry"),
]
