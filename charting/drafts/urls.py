from django.urls import path

from charting.drafts import views

urlpatterns = [
    path("drafts/keep/", views.keep, name="draft-keep"),
    path("drafts/forget/", views.forget, name="draft-forget"),
]
