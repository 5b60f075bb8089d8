"""The atlas: find an entry, ask what is felt where, read an entry, count its sources. No patient data."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET

from charting.atlas import asking, pages, queries
from charting.atlas.forms import AtlasForm
from charting.staff.requests import staff


@require_GET
def atlas(request: HttpRequest) -> HttpResponse:
    """The whole page; for htmx only the answer to a pick, or to what was typed, tapped or chosen."""
    known = queries.atlas_of(staff(request))
    asked = AtlasForm(request.GET).asked()
    if _asks_for_the_piece(request) and asked.pick:
        picked = asking.picked(known, asked)
        return render(request, "atlas/_picked.html", {"picked": picked})
    page = asking.atlas_page(known, asked)
    piece = "atlas/_answer.html" if _asks_for_the_piece(request) else "atlas/atlas.html"
    return render(request, piece, {"page": page}, status=422 if asked.error else 200)


@require_GET
def entry(request: HttpRequest, kind: str, name: str) -> HttpResponse:
    """One entry; for htmx only the figure and what it shows."""
    known = queries.atlas_of(staff(request))
    found = pages.find(known, kind, name)
    if found is None:
        raise Http404("no such entry")
    if kind != found[0].slug:
        return redirect("atlas-entry", found[0].slug, name)
    page = pages.entry_page(
        known,
        *found,
        request.GET.get("side", ""),
        request.GET.get("site", ""),
        alike=queries.same_area(known) if found[0].slug == "muscle" else {},
    )
    piece = "atlas/_pattern.html" if _asks_for_the_piece(request) else "atlas/entry.html"
    return render(request, piece, {"page": page})


@require_GET
def sources(request: HttpRequest) -> HttpResponse:
    page = pages.sources_page(queries.atlas_of(staff(request)))
    return render(request, "atlas/sources.html", {"page": page})


def _asks_for_the_piece(request: HttpRequest) -> bool:
    """A click does; going back in the browser's history wants the whole page."""
    headers = request.headers
    return "HX-Request" in headers and "HX-History-Restore-Request" not in headers
