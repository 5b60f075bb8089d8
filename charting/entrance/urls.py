from django.urls import path

from charting.entrance import views

urlpatterns = [
    path("", views.today, name="today"),
    path("sign-in/", views.SignIn.as_view(), name="sign-in"),
    path("sign-out/", views.SignOut.as_view(), name="sign-out"),
    path("tablet/", views.tablet, name="tablet"),
    path("tablet/authority.crt", views.authority, name="authority"),
    path("pieces/", views.pieces, name="pieces"),
    path("healthz", views.healthz, name="healthz"),
]
