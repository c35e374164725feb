"""Makes a small book in other letters, as the settings name it: a dome with three grafts, a tree, a bag, a bench set for today."""

from __future__ import annotations

from datetime import UTC, datetime

from scionary.book.opening import open_book

NOW = datetime.now(UTC)
nursery = open_book(now=NOW)

from pseudo import other_letters, rewrite  # noqa: E402
from scionary.answers.bench_day import BenchWords, write_bench_day  # noqa: E402
from scionary.book.commands import save_noun  # noqa: E402
from scionary.book.models import Cultivar, Method, MotherTree, Nursery, PotKind  # noqa: E402

red_tarn = save_noun(Cultivar, {"spoken": other_letters("Red Tarn")}, now=NOW)
tree = {"name": other_letters("the old tree"), "cultivar": red_tarn, "sticks_a_season": 40}
save_noun(MotherTree, tree, now=NOW)
today = NOW.astimezone(nursery.zone).date()
names = [other_letters(name) for name in ("Dome", "Lot", "Mara")]
method = Method.objects.get(name="Side graft, leafy, summer").name
write_bench_day(BenchWords(red_tarn.spoken, 3, today, names[0], method, names[1], grafter=names[2]), nursery, now=NOW)
rewrite(Method, "name", "note")
rewrite(PotKind, "name", "note")
rewrite(Nursery, "name")
