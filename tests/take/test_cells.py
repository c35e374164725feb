"""Records brought down to cells, and what cannot be a record."""

from collections import Counter

import numpy as np
import pytest

from scionary.errors import BadValue
from scionary.take import NOT_RECORDED, TakeCells, TakeRecords, aggregate_records
from take.simulated_records import simulated_records

SMALL = TakeRecords(
    takes=[1, 0, 1, 1, 0],
    factors={"cultivar": ["Tarn", "Ember", "Tarn", "Tarn", "Ember"], "dome": ["A", "A", "B", "A", "A"]},
)


def by_names(cells):
    """Grafts and takes of each cell, by its levels and covariates."""
    keys = zip(
        *[[cells.level_names(name)[code] if code >= 0 else None for code in codes] for name, codes in cells.factors.items()],
        *[np.round(column, 9).tolist() for column in cells.covariates.values()],
        strict=True,
    )
    return dict(zip(keys, zip(cells.grafts.tolist(), cells.takes.tolist(), strict=True), strict=True))


def test_equal_rows_share_a_cell():
    assert by_names(aggregate_records(SMALL)) == {("Tarn", "A"): (2, 2), ("Ember", "A"): (2, 0), ("Tarn", "B"): (1, 1)}


def test_cells_agree_with_a_dictionary_of_counts():
    records = simulated_records(400, {"cultivar": 7, "lot": 5, "dome": 4}, seed=1, counts=True)
    grafts, takes = Counter(), Counter()
    for *levels, n, y in zip(*[column.tolist() for column in records.factors.values()], records.grafts, records.takes, strict=True):
        grafts[tuple(levels)] += int(n)
        takes[tuple(levels)] += int(y)
    assert by_names(aggregate_records(records)) == {key: (grafts[key], takes[key]) for key in grafts}


def test_the_order_of_rows_does_not_matter():
    records = simulated_records(200, {"cultivar": 7, "dome": 4}, seed=2, covariates=1)
    order = np.random.default_rng(3).permutation(200)
    turned = TakeRecords(
        takes=records.takes[order],
        grafts=records.grafts[order],
        factors={name: column[order] for name, column in records.factors.items()},
        covariates={name: column[order] for name, column in records.covariates.items()},
    )
    one, other = aggregate_records(records), aggregate_records(turned)
    assert one.levels == other.levels
    for name in one.factors:
        assert np.array_equal(one.factors[name], other.factors[name])
    assert np.array_equal(one.takes, other.takes)
    assert one.covariates["x0"] == pytest.approx(other.covariates["x0"], abs=1e-12)


def test_a_row_a_graft_and_a_row_a_count_give_the_same_cells():
    counts = TakeRecords(takes=[3, 1], grafts=[5, 2], factors={"cultivar": ["Tarn", "Ember"]})
    single = TakeRecords(takes=[1, 1, 1, 0, 0, 1, 0], factors={"cultivar": ["Tarn"] * 5 + ["Ember"] * 2})
    assert by_names(aggregate_records(counts)) == by_names(aggregate_records(single))


def test_codes_with_names_equal_the_names():
    named = TakeRecords(takes=[1, 0, 1], factors={"cultivar": ["Ember", "Tarn", "Tarn"]})
    coded = TakeRecords(takes=[1, 0, 1], factors={"cultivar": np.array([0, 1, 1])}, levels={"cultivar": ["Ember", "Tarn"]})
    one, other = aggregate_records(named), aggregate_records(coded)
    assert one.levels == other.levels
    assert by_names(one) == by_names(other)


def test_bare_codes_are_named_by_their_number_and_whole_floats_too():
    assert aggregate_records(TakeRecords(takes=[1, 0], factors={"lot": [2, 0]})).level_names("lot") == ("0", "1", "2")
    assert aggregate_records(TakeRecords(takes=[1, 0], factors={"lot": [2.0, np.nan]})).level_names("lot") == ("2",)


def test_cells_built_from_bare_codes_have_names_too():
    cells = TakeCells(grafts=np.array([3]), takes=np.array([1]), factors={"lot": np.array([1])})
    assert cells.level_names("lot") == ("0", "1")
    with pytest.raises(BadValue, match=r"dome.*allowed: lot"):
        cells.level_names("dome")


@pytest.mark.parametrize("empty", [None, "", np.nan])
def test_a_level_that_was_not_recorded_has_a_code_of_its_own(empty):
    cells = aggregate_records(TakeRecords(takes=[1, 0, 1], factors={"lot": np.array(["L1", empty, "L1"], dtype=object)}))
    assert by_names(cells) == {("L1",): (2, 2), (None,): (1, 0)}
    assert NOT_RECORDED in cells.factors["lot"]


def test_rows_without_grafts_leave_no_cell_but_keep_their_level():
    cells = aggregate_records(TakeRecords(takes=[2, 0], grafts=[3, 0], factors={"cultivar": ["Tarn", "Ember"]}))
    assert len(cells) == 1
    assert cells.level_names("cultivar") == ("Ember", "Tarn")


def test_no_rows_give_no_cells():
    assert len(aggregate_records(TakeRecords(takes=[], factors={"cultivar": []}, covariates={"x": []}))) == 0


def test_a_long_name_is_kept_whole():
    name = "A" * 300
    assert aggregate_records(TakeRecords(takes=[1], factors={"cultivar": [name]})).level_names("cultivar") == (name,)


def test_more_combinations_than_a_table_holds_are_sorted_instead():
    rng = np.random.default_rng(4)
    columns = {f"f{k}": rng.integers(0, 60_000, 500) for k in range(6)}  # 60,000^6 does not fit 64 bits
    doubled = {name: np.tile(codes, 2) for name, codes in columns.items()}
    cells = aggregate_records(TakeRecords(takes=np.tile([1, 0], 500), factors=doubled))
    assert cells.grafts.tolist() == [2] * 500
    assert {tuple(row) for row in np.stack(list(cells.factors.values()), axis=1)} == set(zip(*columns.values(), strict=True))


def test_a_covariate_is_standardised_over_grafts():
    records = TakeRecords(takes=[1, 2, 0], grafts=[1, 4, 1], factors={"lot": [0, 1, 2]}, covariates={"diameter": [6.0, 8.0, 10.0]})
    cells = aggregate_records(records)
    values = np.repeat([6.0, 8.0, 10.0], [1, 4, 1])
    scale = cells.scales["diameter"]
    assert (scale.centre, scale.spread, scale.measured, scale.missing) == (values.mean(), pytest.approx(values.std()), 6, 0)
    assert np.average(cells.covariates["diameter"], weights=cells.grafts) == pytest.approx(0.0, abs=1e-12)


def test_a_covariate_with_many_values_is_cut_into_bins_with_the_mean_of_their_grafts():
    diameter = np.linspace(4.0, 12.0, 240)
    cells = aggregate_records(TakeRecords(takes=np.zeros(240, int), covariates={"diameter": diameter}), bins=12)
    scale = cells.scales["diameter"]
    assert len(cells) == 12
    assert cells.grafts.tolist() == [20] * 12
    assert np.sort(cells.covariates["diameter"] * scale.spread + scale.centre) == pytest.approx(diameter.reshape(12, 20).mean(axis=1))


def test_what_was_not_measured_stands_at_the_centre_and_is_counted():
    cells = aggregate_records(TakeRecords(takes=[1, 0, 1], factors={"lot": [0, 1, 2]}, covariates={"x": [1.0, np.nan, 3.0]}))
    assert cells.covariates["x"][1] == pytest.approx(0.0, abs=1e-12)
    assert (cells.scales["x"].measured, cells.scales["x"].missing) == (2, 1)


def test_a_covariate_that_was_never_measured_or_never_differs_says_nothing():
    for column in ([np.nan, np.nan], [7.0, 7.0]):
        cells = aggregate_records(TakeRecords(takes=[1, 0], covariates={"x": column}))
        assert cells.covariates["x"].tolist() == [0.0]


REFUSED = {
    "more takes than grafts": ({"takes": [1, 4], "grafts": [2, 3]}, "takes is 4 at index 1; allowed: at most the row's grafts"),
    "negative takes": ({"takes": [1, -1], "grafts": [2, 3]}, "takes is -1 at index 1"),
    "negative grafts": ({"takes": [1, 0], "grafts": [2, -3]}, "grafts is -3 at index 1"),
    "an unknown outcome": ({"takes": [1, np.nan]}, "takes is nan at index 1; allowed: whole numbers; leave out grafts whose outcome"),
    "no count": ({"takes": [1, None]}, "takes is nan at index 1"),
    "half a take": ({"takes": [1, 0.5]}, "takes is 0.5 at index 1"),
    "endless takes": ({"takes": [1, np.inf]}, "takes is inf at index 1"),
    "a word for a count": ({"takes": [1, "yes"]}, "takes is 'yes' at index 1; allowed: numbers"),
    "more grafts than the earth holds": ({"takes": [1, 1], "grafts": [1, 10**12]}, "grafts is 1000000000000 at index 1"),
    "a table of takes": ({"takes": [[1, 0]]}, "takes is .*2 dimensions"),
    "too few grafts": ({"takes": [1, 0], "grafts": [1]}, "grafts is '1 numbers'; allowed: as many as takes, 2"),
    "too few levels": ({"takes": [1, 0], "factors": {"lot": ["L1"]}}, "lot is '1 levels'; allowed: one a row, 2"),
    "too few measurements": ({"takes": [1, 0], "covariates": {"x": [1.0]}}, "x is '1 numbers'; allowed: one a row, 2"),
    "a code without a name": ({"takes": [1, 0], "factors": {"lot": [0, 2]}, "levels": {"lot": ["L1", "L2"]}}, "lot is 2 at index 1"),
    "a negative code": ({"takes": [1, 0], "factors": {"lot": [0, -2]}}, "lot is -2 at index 1"),
    "a slip in a code": (
        {"takes": [1, 0], "factors": {"lot": [0, 10**9]}},
        "lot is 1000000000 at index 1; allowed: a level's code, 0 to 99999",
    ),
    "a name not among the levels": (
        {"takes": [1, 0], "factors": {"lot": ["L1", "L9"]}, "levels": {"lot": ["L1"]}},
        "lot is 'L9' at index 1",
    ),
    "two levels of one name": (
        {"takes": [1], "factors": {"lot": [0]}, "levels": {"lot": ["L1", "L1"]}},
        "levels of lot is 'L1' at index 1",
    ),
    "an endless measurement": ({"takes": [1, 0], "covariates": {"x": [1.0, np.inf]}}, "x is inf at index 1"),
    "a word for a measurement": ({"takes": [1, 0], "covariates": {"x": [1.0, "thick"]}}, "x is 'thick' at index 1; allowed: numbers"),
    "one name for two things": ({"takes": [1], "factors": {"lot": [0]}, "covariates": {"lot": [1.0]}}, "covariates is 'lot'"),
    "a covariate called intercept": ({"takes": [1], "covariates": {"intercept": [1.0]}}, "covariates is 'intercept'"),
}


@pytest.mark.parametrize(("given", "message"), REFUSED.values(), ids=REFUSED)
def test_what_cannot_be_a_record_is_refused_with_its_row(given, message):
    with pytest.raises(BadValue, match=message):
        aggregate_records(TakeRecords(**given))


def test_a_number_of_bins_below_one_is_refused():
    with pytest.raises(BadValue, match="bins is 0; allowed: 1 or more"):
        aggregate_records(TakeRecords(takes=[1], covariates={"x": [1.0]}), bins=0)


@pytest.mark.parametrize(
    ("given", "message"),
    [
        ({"takes": np.array([1.0, np.nan])}, "takes is nan at index 1"),
        ({"takes": np.array([3, 0])}, "takes is 3 at index 0"),
        ({"factors": {"lot": np.array([0])}}, "lot .*allowed: the shape of grafts"),
        ({"factors": {"lot": np.array([0.0, 1.0])}}, "lot is .*float64.*allowed: whole numbers"),
        ({"factors": {"lot": np.array([0, 5])}, "levels": {"lot": ("L1",)}}, "lot is 5 at index 1"),
        ({"covariates": {"x": np.array([0.0, np.nan])}}, "x is nan at index 1; allowed: a finite number"),
    ],
)
def test_cells_that_cannot_be_are_refused(given, message):
    with pytest.raises(BadValue, match=message):
        TakeCells(**{"grafts": np.array([2, 2]), "takes": np.array([1, 0]), "factors": {}, **given})
