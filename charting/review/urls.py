from django.urls import URLPattern, path

from charting.review import views

urlpatterns: list[URLPattern] = [
    path("review/", views.review, name="review"),
    path("review/file/", views.file, name="review-file"),
    path("review/fill/", views.fill, name="review-fill"),
]
