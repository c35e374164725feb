"""Which one is it: botanical names, and codes that survive fading."""

from scionary.names.botanical import BotanicalName, botanical_name
from scionary.names.codes import ALPHABET, NUMBERS, code_of, grouped, number_of
from scionary.names.protection import Protection, protection_words
from scionary.names.reading import CodeReading, CodeStatus, read_code

__all__ = [
    "ALPHABET",
    "NUMBERS",
    "BotanicalName",
    "CodeReading",
    "CodeStatus",
    "Protection",
    "botanical_name",
    "code_of",
    "grouped",
    "number_of",
    "protection_words",
    "read_code",
]
