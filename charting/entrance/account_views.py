"""One's own account: the code after the password, the password, the second factor, where one is signed in."""

from collections.abc import Sequence

from django.contrib import messages
from django.contrib.auth import update_session_auth_hash
from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import ValidationError
from django.forms import Form
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render, resolve_url
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from charting.entrance import way_in
from charting.entrance.account_pages import account_page, set_up_page
from charting.entrance.forms import CodeForm, KnownPassword, OldCodeForm, PasswordForm, SetUpForm
from charting.staff import account_services, away, known_device, second_factor, sessions
from charting.staff.first_things import GAVE_FACTOR, first_thing
from charting.staff.requests import staff


@login_not_required
@sensitive_post_parameters("code")
@require_http_methods(["GET", "HEAD", "POST"])
def sign_in_code(request: HttpRequest) -> HttpResponse:
    """The second step of signing in."""
    owes = way_in.password_given(request)
    if owes is None:
        return redirect("sign-in")
    user, given = owes
    form = CodeForm(request.POST or None, request=request, user=user)
    if not form.is_valid():
        return _answer(request, "entrance/code.html", form)
    if form.gave == "backup":
        _say_what_is_left(request, second_factor.codes_left(user))
    return way_in.let_in(request, user, next=given.next, waiting=given.waiting, gave_code=True)


@require_GET
def account(request: HttpRequest) -> HttpResponse:
    page = account_page(staff(request), request.session.session_key)
    return render(request, "entrance/account.html", {"page": page})


@sensitive_post_parameters()
@require_http_methods(["GET", "HEAD", "POST"])
def password(request: HttpRequest) -> HttpResponse:
    """A new password of one's own; for who was given one, that comes before everything else."""
    user = staff(request)
    form = PasswordForm(request.POST or None, request=request, user=user)
    if not form.is_valid() or not _changed(request, form):
        return _answer(request, "entrance/account_password.html", form)
    messages.success(request, "Your password is changed. You are signed out everywhere else.")
    return redirect(_next(request, "account"))


@sensitive_post_parameters()
@require_http_methods(["GET", "HEAD", "POST"])
def set_up(request: HttpRequest) -> HttpResponse:
    """An authenticator is set up, or another one takes its place; then the backup codes are shown, once."""
    user = staff(request)
    is_owed = first_thing(request) == "second-factor"
    factor = second_factor.factor_of(user)
    proof: list[Form] = []
    if not is_owed:
        proof.append(KnownPassword(request.POST or None, request=request, user=user))
    if factor:
        proof.append(OldCodeForm(request.POST or None, request=request, user=user))
    form = SetUpForm(request.POST or None, user=user)
    if request.method != "POST" or not all(each.is_valid() for each in (form, *proof)):
        return _set_up_page(request, form, proof)
    try:
        sent = form.cleaned_data
        codes = second_factor.set_up(who=user, sealed=sent["sealed"], code=sent["first_code"])
    except ValidationError as problem:
        form.add_error("first_code", problem)
        return _set_up_page(request, form, proof)
    request.session[GAVE_FACTOR] = True
    shown = {"codes": codes, "next": _next(request, "account"), "is_first": factor is None}
    response = render(request, "entrance/backup_codes_shown.html", shown)
    known_device.remember(request, response, user, gave_code=True)
    return response


@sensitive_post_parameters()
@require_http_methods(["GET", "HEAD", "POST"])
def backup_codes(request: HttpRequest) -> HttpResponse:
    """Ten new ones, shown once."""
    user = staff(request)
    form = KnownPassword(request.POST or None, request=request, user=user)
    if not form.is_valid():
        return _answer(request, "entrance/backup_codes.html", form)
    codes = second_factor.new_backup_codes(who=user)
    shown = {"codes": codes, "next": resolve_url("account"), "is_first": False}
    return render(request, "entrance/backup_codes_shown.html", shown)


@require_POST
def end_sessions(request: HttpRequest) -> HttpResponse:
    """`session`: the id of one of them; without it every other one."""
    user, said = staff(request), request.POST.get("session", "")
    if said.isascii() and said.isdecimal():
        was_there = account_services.end_session(who=user, row_id=int(said[:18]))
        words = "That session is ended." if was_there else "That session was over already."
    else:
        ended = account_services.end_other_sessions(who=user, session_key=request.session.session_key)
        words = f"Ended: {ended}. You are signed in here only."
    messages.success(request, words)
    return redirect("account")


@require_GET
def left(request: HttpRequest) -> HttpResponse:
    """How long this session goes on: asked by pages, no sign of life."""
    return _left(request)


@require_POST
def stay(request: HttpRequest) -> HttpResponse:
    """A sign of life from a page where somebody reads or types."""
    away.stay(request)
    return _left(request)


def _left(request: HttpRequest) -> HttpResponse:
    until_idle, at_all = away.seconds_left(request)
    return JsonResponse({"left": until_idle, "at_all": at_all, "who": staff(request).pk})


def _changed(request: HttpRequest, form: PasswordForm) -> bool:
    """False with what is wrong beside the new password."""
    user, here = staff(request), request.session.session_key
    try:
        account_services.change_password(who=user, password=form.cleaned_data["new"], session_key=here)
    except ValidationError as problem:
        form.add_error("new", problem)
        return False
    update_session_auth_hash(request, user)
    sessions.follow(here, request.session.session_key)
    return True


def _set_up_page(request: HttpRequest, form: SetUpForm, proof: Sequence[Form]) -> HttpResponse:
    """With the secret that was sent, as long as it holds, so that it need not be scanned anew."""
    user = staff(request)
    is_first = second_factor.factor_of(user) is None
    try:
        page = set_up_page(user, form.data.get("sealed", ""), is_first=is_first)
    except ValidationError as problem:
        page = set_up_page(user, second_factor.fresh_secret(user), is_first=is_first)
        if form.is_bound:
            form.errors.pop("sealed", None)
            form.add_error(None, problem)
    return _answer(request, "entrance/second_factor.html", form, page=page, proof=proof)


def _answer(
    request: HttpRequest, template: str, form: Form, *, proof: Sequence[Form] = (), **more: object
) -> HttpResponse:
    """The form to be filled in, or to be mended."""
    waits = [getattr(each, "wait", 0) for each in (form, *proof)]
    status = 200 if not form.is_bound else 429 if any(waits) else 422
    context = {"form": form, "next": _next(request, ""), "wait": max(waits), "proof": proof, **more}
    response = render(request, template, context, status=status)
    if status == 429:
        response.headers["Retry-After"] = str(max(waits))
    return response


def _say_what_is_left(request: HttpRequest, count: int) -> None:
    words = "one backup code" if count == 1 else f"{count} backup codes" if count else "no backup code"
    messages.warning(request, f"You have {words} left. New ones are made on the page of your account.")


def _next(request: HttpRequest, otherwise: str) -> str:
    """Where this leads afterwards: a page of ours that was asked for, or the other one."""
    said = request.POST.get("next") or request.GET.get("next", "")
    if said and url_has_allowed_host_and_scheme(
        said, {request.get_host()}, require_https=request.is_secure()
    ):
        return said
    return resolve_url(otherwise) if otherwise else ""
