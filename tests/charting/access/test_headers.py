"""Every kind of answer carries the headers, errors included.

OWASP ASVS 5.0: 3.4.3 (content policy), 3.4.4 (nosniff), 3.4.5 (referrer), 3.4.6 (frames), 3.4.8 (opener),
14.3.2 (no caching).
"""

import pytest
from django.http import HttpRequest, HttpResponse
from django.test import Client

from charting.entrance import views

NEEDED = {
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
}


def lacking(response: HttpResponse) -> list[str]:
    policy = response.headers.get("Content-Security-Policy", "")
    wrong = [name for name, value in NEEDED.items() if response.headers.get(name) != value]
    wrong += [] if "frame-ancestors 'none'" in policy and "default-src 'none'" in policy else ["policy"]
    wrong += ["unsafe"] if "unsafe" in policy else []
    return wrong if "no-store" in response.headers.get("Cache-Control", "") else [*wrong, "no-store"]


def breaks(request: HttpRequest) -> HttpResponse:
    raise RuntimeError("broken")


@pytest.mark.parametrize(
    ("url", "status", "more"),
    [
        ("/sign-in/", 200, {}),
        ("/patients/", 302, {}),
        ("/no-such-page/", 404, {}),
        ("/board/", 403, {}),
        ("/account/stay/", 302, {}),
        ("/healthz", 200, {}),
        ("/sign-in/", 400, {"HTTP_HOST": "elsewhere.example"}),
    ],
)
def test_a_page_a_redirect_and_a_refusal_carry_them(db, url, status, more):
    response = Client().get(url, **more)
    assert (response.status_code, lacking(response)) == (status, [])


def test_a_page_that_broke_carries_them(db, monkeypatch):
    monkeypatch.setattr(views, "render", breaks)
    monkeypatch.setattr("charting.entrance.views.SignIn.get", lambda self, request: breaks(request))
    response = Client(raise_request_exception=False).get("/sign-in/")
    assert (response.status_code, lacking(response)) == (500, [])


def test_an_answer_that_lacks_one_is_seen():
    assert set(lacking(HttpResponse())) >= {"policy", "no-store", "Referrer-Policy"}
