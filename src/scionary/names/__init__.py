"""Which one is it: botanical names, codes that survive fading, plants whose label is gone, and what passes from plant to plant."""

from scionary.names.botanical import BotanicalName, botanical_name
from scionary.names.codes import ALPHABET, NUMBERS, code_of, grouped, number_of
from scionary.names.field_chances import FindingAssumptions
from scionary.names.plant_index import PlantIndex, Standing, index_plants
from scionary.names.protection import Protection, protection_words
from scionary.names.questions import TRAIT, Question, next_question, questions
from scionary.names.ranking import Candidate, CandidateKind, Evidence, rank_plants
from scionary.names.reading import CodeReading, CodeStatus, read_code
from scionary.names.spread import Contacts, Reach, spread_from, spread_to
from scionary.names.traits import BY_KEY, TRAITS, Trait, known_traits, trait_tables, traits_words

__all__ = [
    "ALPHABET",
    "BY_KEY",
    "NUMBERS",
    "TRAIT",
    "TRAITS",
    "BotanicalName",
    "Candidate",
    "CandidateKind",
    "CodeReading",
    "CodeStatus",
    "Contacts",
    "Evidence",
    "FindingAssumptions",
    "PlantIndex",
    "Protection",
    "Question",
    "Reach",
    "Standing",
    "Trait",
    "botanical_name",
    "code_of",
    "grouped",
    "index_plants",
    "known_traits",
    "next_question",
    "number_of",
    "protection_words",
    "questions",
    "rank_plants",
    "read_code",
    "spread_from",
    "spread_to",
    "trait_tables",
    "traits_words",
]
