"""Who works here, and what they may."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from charting.staff import people_pages as pages
from charting.staff import people_services as services
from charting.staff import second_factor
from charting.staff.models import User
from charting.staff.people import member_of, practice_of, said_of, sites_of
from charting.staff.people_forms import MemberForm, NewMemberForm
from charting.staff.people_pages import MemberPage
from charting.staff.people_services import ChangedMeanwhile
from charting.staff.requests import staff
from charting.staff.rights import require


@require_GET
def people(request: HttpRequest) -> HttpResponse:
    require(staff(request), "grant rights")
    return render(request, "staff/people.html", {"page": pages.staff_page(staff(request))})


@require_http_methods(["GET", "POST"])
def new(request: HttpRequest) -> HttpResponse:
    """Take somebody on. The first password stands on the answer, and on no other page."""
    user = staff(request)
    require(user, "grant rights")
    offered = sites_of(practice_of(user))
    if request.method == "GET":
        form = NewMemberForm(initial={"where": "every"}, offered=offered)
        return _member(request, MemberPage(form, offered))
    form = NewMemberForm(request.POST, offered=offered)
    if form.is_valid():
        try:
            username = form.cleaned_data["username"]
            member, password = services.take_on(who=user, username=username, said=form.said())
        except ValidationError as problem:
            _tell(form, problem)
        else:
            return _member(request, pages.member_page(user, member, password=password))
    return _member(request, MemberPage(form, offered), status=422)


@require_http_methods(["GET", "POST"])
def one(request: HttpRequest, member_id: int) -> HttpResponse:
    """Look at one person, and say something else of them."""
    user = staff(request)
    require(user, "grant rights")
    member = member_of(user, member_id)
    if request.method == "GET":
        return _member(request, pages.member_page(user, member))
    offered = sites_of(user.practice, said_of(member).sites)
    form = MemberForm(request.POST, offered=offered)
    if form.is_valid():
        said = form.said()
        try:
            services.change(who=user, user=member, shown=form.cleaned_data["shown"], said=said)
        except ValidationError as problem:
            _tell(form, problem)
            member.refresh_from_db()
        except ChangedMeanwhile as problem:
            values = {**MemberForm.values_of(said), "shown": problem.current.fingerprint}
            again = MemberForm(initial=values, offered=offered)
            clashes = pages.clashes_of(form, said, problem.current)
            return _member(request, pages.member_page(user, member, again, clashes=clashes), status=409)
        else:
            messages.success(request, f"What {member} may do is changed.", extra_tags="ok")
            return redirect("staff")
    return _member(request, pages.member_page(user, member, form), status=422)


@require_POST
def disable(request: HttpRequest, member_id: int) -> HttpResponse:
    user, member = staff(request), _meant(request, member_id)
    try:
        services.disable(who=user, user=member)
    except ValidationError as problem:
        return _member(request, pages.member_page(user, member, problem=problem.messages[0]), status=422)
    messages.success(request, f"{member} is shut out from now on.", extra_tags="ok")
    return redirect("staff")


@require_POST
def enable(request: HttpRequest, member_id: int) -> HttpResponse:
    user, member = staff(request), _meant(request, member_id)
    password = services.enable(who=user, user=member)
    member.refresh_from_db()
    return _member(request, pages.member_page(user, member, password=password))


@require_POST
def password(request: HttpRequest, member_id: int) -> HttpResponse:
    """A new first password, for who has forgotten the own."""
    user, member = staff(request), _meant(request, member_id)
    made = services.set_first_password(who=user, user=member)
    return _member(request, pages.member_page(user, member, password=made))


@require_POST
def factor(request: HttpRequest, member_id: int) -> HttpResponse:
    """Take off a second factor that was lost."""
    user, member = staff(request), _meant(request, member_id)
    second_factor.forget(who=user, user=member)
    words = f"{member} sets up a new second factor with the next signing in."
    messages.success(request, words, extra_tags="ok")
    return redirect("staff-member", member.pk)


@require_POST
def sessions(request: HttpRequest, member_id: int) -> HttpResponse:
    user, member = staff(request), _meant(request, member_id)
    services.sign_out_everywhere(who=user, user=member)
    messages.success(request, f"{member} is signed out on every device.", extra_tags="ok")
    return redirect("staff-member", member.pk)


def _meant(request: HttpRequest, member_id: int) -> User:
    """Raises PermissionDenied for who may not, Http404 for somebody of another practice."""
    require(staff(request), "grant rights")
    return member_of(staff(request), member_id)


def _tell(form: Any, problem: ValidationError) -> None:
    """Each message at its field; what no field holds, above all of them."""
    for name, said in getattr(problem, "error_dict", {None: problem}).items():
        form.add_error(name if name in form.fields else None, ValidationError(said))


def _member(request: HttpRequest, page: MemberPage, *, status: int = 200) -> HttpResponse:
    return render(request, "staff/member.html", {"page": page}, status=status)
