from django.urls import path

from charting.notes import amendments_views, blocks_views, cosign_views, views

urlpatterns = [
    path("visits/<uuid:visit_id>/note/", views.note, name="note"),
    path("visits/<uuid:visit_id>/note/sign/", views.sign, name="note-sign"),
    path("visits/<uuid:visit_id>/note/addendum/", views.addendum, name="note-addendum"),
    path("visits/<uuid:visit_id>/note/cosign/", cosign_views.cosign, name="note-cosign"),
    path("visits/<uuid:visit_id>/note.pdf", views.paper, name="note-pdf"),
    path("text-blocks/", blocks_views.blocks, name="text-blocks"),
    path("text-blocks/new/", blocks_views.new, name="text-block-new"),
    path("text-blocks/<int:block_id>/", blocks_views.change, name="text-block"),
    path("trainees/", cosign_views.trainees, name="trainees"),
    path("patients/<uuid:patient_id>/amendments/", amendments_views.requests, name="amendments"),
    path("patients/<uuid:patient_id>/amendments/<uuid:request_id>/", amendments_views.one, name="amendment"),
]
