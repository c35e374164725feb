"""One tap when the blade was changed or disinfected."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_POST

from scionary.answers.bench import bench_called
from scionary.answers.blade import BLADE_WORDS, clean_blade
from scionary.language import say
from scionary.web.pages import go_to, now_at, nursery_of, remember_undo, tell
from scionary.web.typing_in import said_id, who


@require_POST
def clean(request: HttpRequest, ident: UUID) -> HttpResponse:
    """Write it down; sent twice, it is written once."""
    found, how = bench_called(ident), request.POST.get("how", "")
    done = clean_blade(found, how, nursery=nursery_of(request), now=now_at(request), event_id=said_id(request), who=who(request))
    remember_undo(request, BLADE_WORDS[how].lower(), [done.id])
    tell(request, say("Written down: {how}.", how=BLADE_WORDS[how].lower()), done.flags)
    return go_to(f"/bench/{ident}/")
