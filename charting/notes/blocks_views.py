"""The practice's text blocks: the list, a new one, one that is changed."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods

from charting.drafts.forms import typed_into
from charting.drafts.queries import draft_of
from charting.notes import blocks_services as services
from charting.notes.blocks_forms import BlockForm
from charting.notes.blocks_services import RIGHT, TitleTaken
from charting.notes.models import TextBlock
from charting.notes.sentences_queries import block_of, blocks_of
from charting.report.soap import SECTIONS
from charting.staff.requests import staff
from charting.staff.rights import may, require
from charting.versioning import Stale


@require_GET
def blocks(request: HttpRequest) -> HttpResponse:
    require(staff(request), "open chart")
    every = blocks_of(staff(request))
    sections = [
        (title, [block for block in every if block.section == name]) for name, title in SECTIONS.items()
    ]
    context = {"sections": sections, "may_change": may(staff(request), RIGHT)}
    return render(request, "notes/blocks.html", context)


@require_http_methods(["GET", "POST"])
def new(request: HttpRequest) -> HttpResponse:
    require(staff(request), RIGHT)
    if request.method == "GET":
        draft = draft_of(staff(request), services.draft_key(None))
        return _form(request, BlockForm(initial=typed_into(BlockForm(), draft)), draft=draft)
    form = BlockForm(request.POST)
    if form.is_valid():
        try:
            block = services.add_block(who=staff(request), **form.said)
        except TitleTaken as problem:
            form.add_error("title", str(problem))
        else:
            messages.success(request, f"“{block.title}” is added.", extra_tags="ok")
            return redirect("text-blocks")
    return _form(request, form, status=422)


@require_http_methods(["GET", "POST"])
def change(request: HttpRequest, block_id: int) -> HttpResponse:
    require(staff(request), RIGHT)
    block = block_of(staff(request), block_id)
    if request.method == "GET":
        draft = draft_of(staff(request), services.draft_key(block))
        return _form(request, BlockForm.of(block, typed_into(BlockForm(), draft)), block=block, draft=draft)
    form = BlockForm(request.POST)
    if not form.is_valid():
        return _form(request, form, block=block, status=422)
    said, version = form.said, form.cleaned_data["version"]
    try:
        services.change_block(
            who=staff(request), block=block, version=version, **said, in_use=form.cleaned_data["in_use"]
        )
    except TitleTaken as problem:
        form.add_error("title", str(problem))
        return _form(request, form, block=block, status=422)
    except Stale:
        again = BlockForm(initial={**form.cleaned_data, "version": block.version})
        return _form(request, again, block=block, clashes=_clashes(block, said), status=409)
    messages.success(request, f"“{block.title}” is changed. Notes keep the words they have.", extra_tags="ok")
    return redirect("text-blocks")


def _clashes(block: TextBlock, said: dict[str, Any]) -> list[tuple[str, str, str]]:
    """(where, on record now, typed), where the two differ."""
    labels = {"section": "Heading", "title": "Title", "words": "Words"}
    each = ((label, str(getattr(block, name)), said[name]) for name, label in labels.items())
    return [one for one in each if one[1] != one[2]]


def _form(
    request: HttpRequest, form: BlockForm, *, block: TextBlock | None = None, status: int = 200, **more: Any
) -> HttpResponse:
    context = {"form": form, "block": block, "draft_key": services.draft_key(block), **more}
    return render(request, "notes/block.html", context, status=status)
