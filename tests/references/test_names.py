"""Names and alphabets against rules from outside."""

import pytest

from scionary.names import ALPHABET, botanical_name


@pytest.mark.parametrize(
    "printed",
    [
        # International Code of Nomenclature for Cultivated Plants, 9th ed.: examples of cultivar names in single quotes, from memory
        "Malus domestica 'Granny Smith'",
        # the same code: cultivar epithet straight behind the genus, from memory
        "Fuchsia 'Beacon'",
        # the same code: a Group in brackets before the cultivar, from memory
        "Solanum tuberosum (Maincrop Group) 'Desiree'",
        # International Code of Nomenclature for algae, fungi, and plants, art. H.3: hybrid sign before the epithet, from memory
        "Salix ×capreola",
        # the same code, art. H.3: hybrid sign before the name of an intergeneric hybrid, from memory
        "×Agropogon littoralis",
        # the same code, art. 24: rank-denoting term between species and infraspecific epithet, from memory
        "Saxifraga aizoon subf. surculosa",
    ],
)
def test_names_as_the_codes_print_them_pass_unchanged(printed):
    name = botanical_name(printed)
    assert name.plain == printed
    assert name.warnings == ()


def test_alphabet_avoids_what_base32_avoids():
    # Crockford's base 32 leaves out I, L, O and U
    assert not set("ILOU") & set(ALPHABET)
