from django.urls import path

from charting.entrance import account_views, views
from charting.entrance.practice import practice

urlpatterns = [
    path("", views.today, name="today"),
    path("sign-in/", views.SignIn.as_view(), name="sign-in"),
    path("sign-in/code/", account_views.sign_in_code, name="sign-in-code"),
    path("sign-out/", views.SignOut.as_view(), name="sign-out"),
    path("account/", account_views.account, name="account"),
    path("account/password/", account_views.password, name="account-password"),
    path("account/second-factor/", account_views.set_up, name="second-factor"),
    path("account/backup-codes/", account_views.backup_codes, name="backup-codes"),
    path("account/sessions/end/", account_views.end_sessions, name="sessions-end"),
    path("account/left/", account_views.left, name="session-left"),
    path("account/stay/", account_views.stay, name="session-stay"),
    path("practice/", practice, name="practice"),
    path("tablet/", views.tablet, name="tablet"),
    path("tablet/authority.crt", views.authority, name="authority"),
    path("pieces/", views.pieces, name="pieces"),
    path("healthz", views.healthz, name="healthz"),
    path("readyz", views.readyz, name="readyz"),
]
