from django.urls import path

from charting.appointments import views

ONE = "appointments/<uuid:appointment_id>"
urlpatterns = [
    path("appointments/new/", views.who, name="appointment-who"),
    path("patients/<uuid:patient_id>/appointments/new/", views.new, name="appointment-new"),
    path(f"{ONE}/", views.appointment, name="appointment"),
    path(f"{ONE}/here/", views.here, name="appointment-here"),
    path(f"{ONE}/begin/", views.begin, name="appointment-begin"),
    path(f"{ONE}/missed/", views.missed, name="appointment-missed"),
    path(f"{ONE}/cancel/", views.cancel, name="appointment-cancel"),
]
