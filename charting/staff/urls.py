from django.urls import path

from charting.staff import people_views as views

urlpatterns = [
    path("staff/", views.people, name="staff"),
    path("staff/new/", views.new, name="staff-new"),
    path("staff/<int:member_id>/", views.one, name="staff-member"),
    path("staff/<int:member_id>/shut-out/", views.disable, name="staff-disable"),
    path("staff/<int:member_id>/let-in/", views.enable, name="staff-enable"),
    path("staff/<int:member_id>/first-password/", views.password, name="staff-password"),
    path("staff/<int:member_id>/second-factor/", views.factor, name="staff-second-factor"),
    path("staff/<int:member_id>/sign-out/", views.sessions, name="staff-sessions"),
]
