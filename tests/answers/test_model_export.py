"""The take model for a notebook: what is written is what the pages rest on, and a file is whole or not there."""

from __future__ import annotations

import json
import re
from datetime import datetime
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from scipy.special import expit

from scionary.answers.model_export import model_draws, model_file_name, model_summary, write_model
from scionary.answers.rates import rates
from scionary.answers.take_model import take_model
from scionary.book.commands import cultivar_called, save_noun
from scionary.book.models import Nursery, RootstockLot, Tally
from scionary.errors import BadValue, Refused

pytestmark = pytest.mark.django_db
DOCS = Path(__file__).parents[2] / "docs"


@pytest.fixture
def book(nursery: Nursery, now: datetime) -> None:
    for at, (name, season, takes) in enumerate(
        (("Red Tarn", 2023, 22), ("Ash Gill", 2023, 9), ("Red Tarn", 2024, 17), ("Ash Gill", 2024, 6))
    ):
        lot = save_noun(RootstockLot, {"name": f"2{at}-A"}, now=now)
        values: dict[str, Any] = {
            "cultivar": cultivar_called(name, now=now),
            "season": season,
            "grafts": 25,
            "takes": takes,
            "stage": "firm",
        }
        save_noun(Tally, {**values, "lot": lot}, now=now)


def test_draws_give_the_rates_of_the_pages(book: None) -> None:
    found = model_draws("firm")
    names = found["level.cultivar"].tolist()
    for kind in ("long_run", "next_season"):
        for row in rates("firm", kind=kind).rows:
            draws = found[f"rate.{kind}.cultivar"][:, names.index(row.name)]
            assert [draws.mean(), *np.quantile(draws, [0.05, 0.95])] == pytest.approx([row.mean, row.low, row.high], abs=1e-5)


def test_intercept_and_effects_give_the_rates_all_else_alike(book: None) -> None:
    found = model_draws("firm")
    draws = expit(found["fixed"][:, :1] + found["effect.cultivar"])
    means = dict(zip(found["level.cultivar"].tolist(), draws.mean(axis=0).tolist(), strict=True))
    assert means == pytest.approx({row.name: row.mean for row in rates("firm", kind="reference").rows}, abs=1e-5)


def test_the_cells_are_the_record(book: None) -> None:
    found = model_draws("firm")
    red = found["code.cultivar"] == found["level.cultivar"].tolist().index("Red Tarn")
    assert (found["grafts"].sum(), found["takes"].sum(), found["takes"][red].sum()) == (100, 54, 39)
    assert all(len(found[name]) == len(found["grafts"]) for name in found if name.startswith(("code.", "covariate.")))
    assert set(found["factor"].tolist()) == {"cultivar", "season", "lot", "dome"}
    assert {name.split()[0] for name in found["level.dome"].tolist()} == {"tally"}  # each had a filling of its own


def test_draws_are_read_back_without_anything_but_numpy(book: None, tmp_path: Path, now: datetime) -> None:
    write_model("draws", tmp_path / "m.npz", stage="firm", now=now)
    with np.load(tmp_path / "m.npz", allow_pickle=False) as found:
        assert set(found) == set(model_draws("firm"))
        assert found["effect.cultivar"].shape == (4000, 2)


def test_the_summary_says_what_was_supposed_given_and_found(book: None, tmp_path: Path, now: datetime) -> None:
    assert write_model("summary", tmp_path / "m.json", stage=None, now=now) == "firm"
    found = json.loads((tmp_path / "m.json").read_text(encoding="utf-8"))
    fit = take_model("firm").fit
    assert (found["record"]["grafts"], found["record"]["takes"]) == (100, 54)
    assert found["priors"]["half_normal_scale"]["cultivar"] == 0.8
    assert found["computed"]["effective_points"] == pytest.approx(fit.effective_size)
    assert found["scales"][0]["mean"] == pytest.approx(float(fit.scales.mean[0]))
    assert {row["name"] for row in found["effects"]["cultivar"]} == {"Red Tarn", "Ash Gill"}
    assert [row["mean"] for row in found["rates"]["long_run"]["cultivar"]] == [row.mean for row in rates("firm").rows]
    assert set(found["rates"]["next_season"]) == {"cultivar", "tree", "method", "lot", "grafter"}
    assert found["assumptions"] == take_model("firm").assumptions


def test_every_field_is_described(book: None, now: datetime) -> None:
    described = set(re.findall(r"`([a-z_.<>]+)`", (DOCS / "take-model.md").read_text(encoding="utf-8").split("## For a notebook")[1]))
    parts = {"covariate": "<name>"} | dict.fromkeys(("code", "key", "level", "effect", "rate"), "<factor>")
    arrays = {".".join([*name.split(".")[:-1], parts[name.split(".")[0]]]) if "." in name else name for name in model_draws("firm")}
    assert arrays - described == set()
    assert set(model_summary("firm", now=now)) - described == set()


def test_an_empty_book_gives_what_is_supposed(nursery: Nursery, now: datetime) -> None:
    found = model_summary("firm", now=now)
    assert found["record"]["grafts"] == 0
    assert found["rates"]["long_run"]["cultivar"] == []
    assert found["fixed"][0]["mean"] == pytest.approx(0.5, abs=0.1)  # the prior


@pytest.mark.parametrize(("what", "name"), [("draws", "m.json"), ("summary", "m.npz"), ("draws", "m")])
def test_a_file_of_another_kind_is_refused(book: None, tmp_path: Path, now: datetime, what: str, name: str) -> None:
    with pytest.raises(Refused, match="Let its name end in"):
        write_model(what, tmp_path / name, stage="firm", now=now)
    assert list(tmp_path.iterdir()) == []


def test_where_it_cannot_be_written_nothing_is_left(book: None, tmp_path: Path, now: datetime) -> None:
    (tmp_path / "m.npz").mkdir()
    with pytest.raises(Refused, match="where there is room"):
        write_model("draws", tmp_path / "m.npz", stage="firm", now=now)
    assert [path.name for path in tmp_path.iterdir()] == ["m.npz"]


def test_an_unknown_stage_writes_nothing(book: None, tmp_path: Path, now: datetime) -> None:
    with pytest.raises(BadValue, match="firm, growing, in_leaf"):
        write_model("summary", tmp_path / "m.json", stage="rooted", now=now)
    assert list(tmp_path.iterdir()) == []


def test_a_file_is_called_after_its_stage_and_day(now: datetime) -> None:
    assert model_file_name("draws", "in_leaf", now) == "scionary-draws-in_leaf-2026-02-14.npz"
