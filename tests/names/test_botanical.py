"""Botanical names taken apart."""

import re
import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scionary.errors import BadValue
from scionary.names import botanical_name


def test_a_well_written_name_passes_unchanged_and_without_warning():
    name = botanical_name("Acer palmatum var. dissectum 'Fell Lace'")
    assert (name.genus, name.species, name.rank, name.infraspecific, name.cultivar) == (
        "Acer",
        "palmatum",
        "var.",
        "dissectum",
        "Fell Lace",
    )
    assert name.plain == "Acer palmatum var. dissectum 'Fell Lace'"
    assert name.html == "<i>Acer palmatum</i> <bdi>var.</bdi> <i>dissectum</i> <bdi>&#x27;Fell Lace&#x27;</bdi>"
    assert name.warnings == ()


@pytest.mark.parametrize(
    ("typed", "plain", "warning"),
    [
        ("Acer palmatum “Red Tarn”", "Acer palmatum 'Red Tarn'", "double ones were changed"),
        ("Acer palmatum ‘Red Tarn’", "Acer palmatum 'Red Tarn'", "Quotation marks were changed"),
        ('Acer palmatum "Red Tarn"', "Acer palmatum 'Red Tarn'", "double ones were changed"),
        ("Acer palmatum cv. Red Tarn", "Acer palmatum 'Red Tarn'", "'cv.' is no longer written"),
        ("Acer palmatum cv. 'Red Tarn'", "Acer palmatum 'Red Tarn'", "'cv.' is no longer written"),
        ("Acer palmatum Red Tarn", "Acer palmatum 'Red Tarn'", "without quotes"),
        ("Acer palmatum 'Red Tarn", "Acer palmatum 'Red Tarn'", "no partner"),
        ("acer palmatum 'Red Tarn'", "Acer palmatum 'Red Tarn'", "genus begins with a capital"),
        ("Acer palmatum ssp. palmatum", "Acer palmatum subsp. palmatum", "ssp. was written as subsp."),
        ("Acer x  ashgillii", "Acer ×ashgillii", "letter x was read as the hybrid sign"),
        ("Red Tarn", "'Red Tarn'", "No genus was found"),
        ("'Red Tarn'", "'Red Tarn'", "No genus was found"),
    ],
)
def test_what_departs_from_custom_is_tidied_and_told(typed, plain, warning):
    name = botanical_name(typed)
    assert name.plain == plain
    assert any(warning in line for line in name.warnings), name.warnings


@pytest.mark.parametrize(
    ("typed", "warning"),
    [
        ("Acer palmatum 'red tarn'", "begins with a capital; this one does not"),
        ("Acer palmatum 'RED TARN'", "All capitals"),
        ("Acer palmatum 'Red Tarn Variety'", "the word 'Variety'"),
        ("Acer palmatum 'The Reddest Leaf Above The Upper Tarn'", "more than 30 characters"),
        ("Acer palmatum 'Red Tarn' by the gate", "not understood: by the gate"),
        ("Acer palmatum GLOWING WATER", "capitals were taken as a trade designation"),
        ("Acer palmatum × A. japonicum", "not understood: × A. japonicum"),
        ("Lanthorn", "taken as a genus"),
        ("A#cer palmatum", "does not look like a genus"),
    ],
)
def test_what_looks_unusual_is_kept_and_told(typed, warning):
    name = botanical_name(typed)
    assert name.plain == typed
    assert any(warning in line for line in name.warnings), name.warnings


@pytest.mark.parametrize(
    ("typed", "plain"),
    [
        ("ACER PALMATUM", "Acer palmatum"),
        ("ACER PALMATUM 'Red Tarn'", "Acer palmatum 'Red Tarn'"),
        ("ACER PALMATUM VAR. DISSECTUM", "Acer palmatum var. dissectum"),
        ("ACER PALMATUM GLOWING WATER", "Acer palmatum GLOWING WATER"),
        ("×TARNBECKIA ALBA", "×Tarnbeckia alba"),
    ],
)
def test_a_latin_name_in_capitals_is_written_in_sentence_case_and_told(typed, plain):
    name = botanical_name(typed)
    assert name.plain == plain
    assert any(line.startswith("The Latin name was in capitals: written as ") for line in name.warnings)
    assert not any("No genus" in line or "not understood" in line or "custom for selling" in line for line in name.warnings)


def test_words_in_capitals_that_are_no_latin_stay_as_they_are():
    assert botanical_name("GLOWING WATER").plain == "'GLOWING WATER'"
    assert botanical_name("Acer PALMATUM").species == ""


def test_hybrid_signs_stand_before_what_they_belong_to():
    species = botanical_name("Hamamelis × intermedia 'Merrybeck'")
    assert (species.hybrid_species, species.species, species.plain) == (True, "intermedia", "Hamamelis ×intermedia 'Merrybeck'")
    genus = botanical_name("x Tarnbeckia alba")
    assert (genus.hybrid_genus, genus.genus, genus.plain) == (True, "Tarnbeckia", "×Tarnbeckia alba")


@pytest.mark.parametrize("typed", ["Acer palmatum Dissectum Group 'Fell Lace'", "Acer palmatum 'Fell Lace' (Dissectum Group)"])
def test_a_group_is_found_with_and_without_brackets(typed):
    name = botanical_name(typed)
    assert (name.group, name.cultivar) == ("Dissectum", "Fell Lace")
    assert name.plain == "Acer palmatum (Dissectum Group) 'Fell Lace'"


@pytest.mark.parametrize(
    ("typed", "cultivar", "trade", "plain"),
    [
        ("Acer palmatum 'Red Tarn' GLOWING WATER", "Red Tarn", "GLOWING WATER", "Acer palmatum 'Red Tarn' GLOWING WATER"),
        ("Acer palmatum GLOWING WATER 'Red Tarn'", "Red Tarn", "GLOWING WATER", "Acer palmatum 'Red Tarn' GLOWING WATER"),
        ("Acer 'Red Tarn' Glowing Water™", "Red Tarn", "Glowing Water™", "Acer 'Red Tarn' Glowing Water™"),
        ("Acer palmatum GLOWING WATER", "", "GLOWING WATER", "Acer palmatum GLOWING WATER"),
    ],
)
def test_a_trade_designation_is_kept_apart_and_never_quoted(typed, cultivar, trade, plain):
    name = botanical_name(typed)
    assert (name.cultivar, name.trade_designation, name.plain, name.trailing, name.rest) == (cultivar, trade, plain, "", "")
    assert f'<bdi class="trade">{trade}</bdi>' in name.html
    assert not any("not understood" in line for line in name.warnings)
    assert botanical_name(plain) == name or cultivar == ""


def test_a_name_older_than_a_rule_is_not_held_to_it():
    assert botanical_name("Acer palmatum 'Dissectum'").warnings != ()
    assert botanical_name("Acer palmatum 'Dissectum'", published=1955).warnings == ()


def test_an_apostrophe_inside_a_cultivar_ends_nothing():
    for typed in ("Hamamelis 'Jack O'Tarn'", "Hamamelis ‘Jack O’Tarn’"):
        assert botanical_name(typed).cultivar == "Jack O'Tarn"


def test_an_author_is_no_cultivar():
    name = botanical_name("Acer palmatum Thunb. 'Red Tarn'")
    assert (name.rest, name.cultivar, name.plain) == ("Thunb.", "Red Tarn", "Acer palmatum Thunb. 'Red Tarn'")
    assert botanical_name("Acer palmatum L.").cultivar == ""


def test_accents_are_kept_in_one_form():
    typed = unicodedata.normalize("NFD", "Acer 'Fée du Lac'")
    assert botanical_name(typed).cultivar == "Fée du Lac"


def test_marks_that_turn_the_direction_are_removed_and_told():
    name = botanical_name("Acer palmatum \u202e'Red\u200f Tarn'\u202c")
    assert name.plain == "Acer palmatum 'Red Tarn'"
    assert "Invisible characters were removed." in name.warnings


def test_right_to_left_letters_stay_inside_their_part():
    assert "<bdi>&#x27;שלג&#x27;</bdi>" in botanical_name("Acer 'שלג'").html


def test_pictures_in_a_name_are_kept_and_told():
    name = botanical_name("Acer palmatum 'Fire 🍁'")
    assert name.plain == "Acer palmatum 'Fire 🍁'"
    assert any("leave 🍁 out" in line for line in name.warnings)


def test_markup_is_shown_not_obeyed():
    for typed in ("Acer 'Red Tarn' <B>™", "Acer '<b>x</b>'", "<script>alert(1)</script>", 'Acer "onload=x', "Acer & <i>Acer</i>"):
        bare = re.sub(r"</?(?:i|bdi)(?: class=\"trade\")?>", "", botanical_name(typed).html)
        assert "<" not in bare
        assert ">" not in bare
        assert '"' not in bare


@pytest.mark.parametrize(
    ("typed", "message"),
    [
        ("", "allowed: a name of 1 to 200 characters"),
        (" \t\n", "allowed: a name of 1 to 200 characters"),
        ("\u200b", "allowed: a name of 1 to 200 characters"),
        ("Acer\x00palmatum", "no control characters"),
        ("Acer\npalmatum", "no control characters"),
        ("Acer \ud800", "no control characters"),
        ("A" * 201, "at most 200 characters; this has 201"),
        ("Acer " + "Red Tarn " * 55, "at most 200 characters; this has 500"),
        (None, "allowed: a name of 1 to 200 characters"),
    ],
)
def test_what_is_no_name_is_refused(typed, message):
    with pytest.raises(BadValue, match=message):
        botanical_name(typed)


LATIN = st.from_regex(r"[a-z]{3,10}", fullmatch=True).filter(lambda word: word not in {"var", "ssp", "subsp", "forma"})
FANCY = st.from_regex(r"[A-Z][a-z]{1,8}( [A-Z][a-z]{1,8}){0,2}", fullmatch=True)


@given(genus=LATIN, species=LATIN, cultivar=FANCY, sign=st.sampled_from(["", "×"]))
def test_a_name_put_together_is_taken_apart_again(genus, species, cultivar, sign):
    text = f"{genus.capitalize()} {sign}{species} '{cultivar}'"
    name = botanical_name(text)
    assert (name.genus, name.species, name.cultivar, name.hybrid_species) == (genus.capitalize(), species, cultivar, bool(sign))
    assert name.plain == text


@given(st.text(alphabet=st.characters(codec="utf-8"), max_size=60) | st.text(alphabet="Aa xX×'’\"().<>&cvGroup ", max_size=40))
def test_any_text_is_read_or_refused_and_its_html_is_safe(text):
    try:
        name = botanical_name(text)
    except BadValue:
        return
    assert name.plain
    bare = re.sub(r"</?(?:i|bdi)(?: class=\"trade\")?>", "", name.html)
    assert not set(bare) & set("<>\"'")
    for tag in ("i", "bdi"):
        opened = name.html.count(f"<{tag}>") + name.html.count(f'<{tag} class="trade">')
        assert opened == name.html.count(f"</{tag}>")


@given(st.text(alphabet="Aab xX×'’\".()", min_size=1, max_size=30).filter(str.strip))
def test_no_letter_of_a_name_is_lost(text):
    before = sorted(character.lower() for character in text if character in "Aab")
    plain = botanical_name(text).plain
    assert sorted(character.lower() for character in plain if character in "AaBb") == before
