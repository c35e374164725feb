"""Which one is it: botanical names, codes that survive fading, and plants whose label is gone."""

from scionary.names.botanical import BotanicalName, botanical_name
from scionary.names.codes import ALPHABET, NUMBERS, code_of, grouped, number_of
from scionary.names.field_chances import FindingAssumptions
from scionary.names.plant_index import PlantIndex, Standing, index_plants
from scionary.names.protection import Protection, protection_words
from scionary.names.questions import Question, next_question, questions
from scionary.names.ranking import Candidate, CandidateKind, Evidence, rank_plants
from scionary.names.reading import CodeReading, CodeStatus, read_code

__all__ = [
    "ALPHABET",
    "NUMBERS",
    "BotanicalName",
    "Candidate",
    "CandidateKind",
    "CodeReading",
    "CodeStatus",
    "Evidence",
    "FindingAssumptions",
    "PlantIndex",
    "Protection",
    "Question",
    "Standing",
    "botanical_name",
    "code_of",
    "grouped",
    "index_plants",
    "next_question",
    "number_of",
    "protection_words",
    "questions",
    "rank_plants",
    "read_code",
]
