from django.urls import path

from charting.drawing import views

urlpatterns = [
    path("visits/<uuid:visit_id>/drawing-step/", views.step, name="drawing-step"),
    path("visits/<uuid:visit_id>/drawing/", views.board, name="drawing"),
    path("visits/<uuid:visit_id>/drawing/sheets/", views.sheets, name="drawing-sheets"),
    path("visits/<uuid:visit_id>/drawing/save/", views.save, name="drawing-save"),
    path("visits/<uuid:visit_id>/drawing/words/", views.words, name="drawing-words"),
    path("visits/<uuid:visit_id>/drawing/key/", views.key, name="drawing-key"),
    path("visits/<uuid:visit_id>/drawing/areas/", views.areas, name="drawing-areas"),
]
