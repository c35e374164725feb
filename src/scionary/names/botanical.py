"""Botanical names: taken apart, tidied, shown in italics where custom wants them.

Follows the International Code of Nomenclature for Cultivated Plants (ICNCP): single quotes (art. 14), Groups (art. 15), trade
designations set apart in capitals and without quotes (art. 17), the hybrid sign before the epithet; numbers of articles from memory.
What departs from it is warned about, never refused, since a name on an old label is a fact. Epithets: `scionary.names.epithets`.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass, field
from html import escape

from scionary.errors import BadValue
from scionary.language import say
from scionary.names.epithets import epithet_warnings

LONGEST = 200

_RANKS = {
    "subsp.": "subsp.", "ssp.": "subsp.", "subsp": "subsp.", "ssp": "subsp.", "var.": "var.", "var": "var.", "subvar.": "subvar.",
    "subf.": "subf.", "f.": "f.", "forma": "f.", "f": "f.",
}  # fmt: skip
_QUOTES = {"‘": "'", "’": "'", "‚": "'", "‛": "'", "`": "'", "´": "'", "“": '"', "”": '"', "„": '"', "«": '"', "»": '"', "″": '"', "′": "'"}
_CULTIVAR = re.compile(r"(?<!\S)'(?P<epithet>[^\s'](?:.*?\S)??)'(?![^\W_])")
_BRACKETED_GROUP = re.compile(r"\((?P<group>[^()]+?)\s+(?:Group|Grp|Gp)\)")
_BARE_GROUP = re.compile(r"(?<=\s)(?P<group>(?:[A-ZÀ-Þ][\w-]*\s+)+)(?:Group|Grp|Gp)(?!\S)")
_WORD_EPITHET = re.compile(r"[a-zà-ÿ][a-zà-ÿ-]+")
_TRADE_SIGNS = "™®℠"
# How most epithets end; a name that is sold in capitals seldom does (project default, unsourced).
_LATIN_END = re.compile(r"..(?:UM|US|A|IS|ES|II|AE|ENSE|ANS|ENS|OIDES)$")


@dataclass(frozen=True)
class BotanicalName:
    """A plant's name in its parts; a part that is not there is an empty string.

    Attributes
    ----------
    genus, species, infraspecific : str
        Without hybrid sign.
    hybrid_genus, hybrid_species : bool
        Whether the hybrid sign stands before the genus, or before the species epithet.
    rank : str
        ``subsp.``, ``var.``, ``subvar.``, ``f.`` or ``subf.``, where there is an infraspecific epithet.
    group, cultivar : str
        Without brackets, without the word Group, without quotes.
    trade_designation : str
        A name that a plant is sold under, in capitals or with a sign such as ™; no part of its name, and never in quotes.
    rest, trailing : str
        What was not understood (an author, a hybrid formula; behind the cultivar, anything), kept as typed.
    warnings : tuple of str
        What was changed or looks unusual, one sentence each.
    """

    genus: str = ""
    species: str = ""
    rank: str = ""
    infraspecific: str = ""
    group: str = ""
    cultivar: str = ""
    trade_designation: str = ""
    rest: str = ""
    trailing: str = ""
    hybrid_genus: bool = False
    hybrid_species: bool = False
    warnings: tuple[str, ...] = field(default=())

    @property
    def plain(self) -> str:
        """The name as plain text."""
        return " ".join(text for text, _ in self._parts())

    @property
    def html(self) -> str:
        """The name as safe HTML: Latin parts in italics, everything escaped, direction of the letters kept to each part."""
        trade = f"<bdi>{escape(self.trade_designation)}</bdi>"
        pieces = (f"<i>{escape(text)}</i>" if latin else f"<bdi>{escape(text)}</bdi>" for text, latin in self._parts())
        return " ".join(piece.replace("<bdi>", '<bdi class="trade">') if piece == trade else piece for piece in pieces)

    @property
    def runs(self) -> tuple[tuple[str, bool], ...]:
        """Pieces to be set one behind the other, with their spaces, each with whether it is in italics."""
        parts = self._parts()
        return tuple((text if place == 0 else f" {text}", latin) for place, (text, latin) in enumerate(parts))

    def _parts(self) -> list[tuple[str, bool]]:
        """Pieces in order, each with whether custom sets it in italics."""
        genus = f"×{self.genus}" if self.hybrid_genus else self.genus
        species = f"×{self.species}" if self.hybrid_species else self.species
        pieces = [
            (" ".join(part for part in (genus, species) if part), True),
            (self.rank, False),
            (self.infraspecific, True),
            (self.rest, False),
            (f"({self.group} Group)" if self.cultivar else f"{self.group} Group", False) if self.group else ("", False),
            (f"'{self.cultivar}'" if self.cultivar else "", False),
            (self.trade_designation, False),
            (self.trailing, False),
        ]
        return [piece for piece in pieces if piece[0]]


def botanical_name(text: str, *, published: int | None = None) -> BotanicalName:
    """Take a plant's name apart.

    Parameters
    ----------
    text : str
        A name as a person writes it, 1 to 200 characters: genus, species, rank and epithet, Group, cultivar in quotes. A cultivar's
        name alone is taken as such when it is quoted or has several capitalised words. Behind it, or in place of it, a trade
        designation in capitals.
    published : int, optional
        Year in which the cultivar's name was first published; rules that came later are then not held against it.

    Returns
    -------
    BotanicalName
        With warnings about what was tidied or looks unusual. Only form is looked at: whether such a plant exists, or whose name
        is accepted, is not known here.

    Raises
    ------
    BadValue
        When the text is empty, too long, or holds control characters.
    """
    warnings: list[str] = []
    body = _tidied(_checked(text, warnings), warnings)
    body, cultivar, trailing = _cultivar(body, warnings)
    body, group = _group(body)
    if not group:
        trailing, group = _group(f" {trailing}")
    words = _out_of_capitals(body.split(), warnings)
    hybrid_genus, words = _leading_sign(words)
    if not cultivar and not hybrid_genus and len(words) > 1 and all(word[0].isupper() for word in words[:2]):
        warnings.append(say("No genus was found: taken as the name of a cultivar."))
        parts = {"cultivar": " ".join(words), "rest": ""}
    else:
        parts = _latin(words, warnings, alone=not (cultivar or group))
        if parts["cultivar"] and not cultivar:
            warnings.append(say("The cultivar was written without quotes."))
        elif cultivar:
            parts["rest"], parts["cultivar"] = " ".join(part for part in (parts["rest"], parts["cultivar"]) if part), cultivar
    parts["trailing"] = trailing.strip()
    _set_trade_apart(parts, warnings)
    _judge(parts, warnings, published)
    hybrid_species = bool(parts.pop("sign", ""))
    return BotanicalName(**parts, group=group, hybrid_genus=hybrid_genus, hybrid_species=hybrid_species, warnings=tuple(warnings))


def _checked(text: str, warnings: list[str]) -> str:
    if not isinstance(text, str) or not text.strip():
        raise BadValue("name", text, say("a name of 1 to 200 characters"))
    if len(text) > LONGEST:
        raise BadValue("name", text, say("at most {longest} characters; this has {length}", longest=LONGEST, length=len(text)))
    stripped = unicodedata.normalize("NFC", text.strip())
    kinds = {unicodedata.category(character) for character in stripped}
    if kinds & {"Cc", "Cs", "Zl", "Zp"}:
        raise BadValue("name", text, say("letters, signs and spaces on one line, no control characters"))
    if "Cf" in kinds:
        warnings.append(say("Invisible characters were removed."))
        stripped = "".join(character for character in stripped if unicodedata.category(character) != "Cf").strip()
    if not stripped:
        raise BadValue("name", text, say("a name of 1 to 200 characters"))
    return stripped


def _tidied(text: str, warnings: list[str]) -> str:
    """One kind of quotes, one space between words, the hybrid sign for a lone letter x."""
    apostrophes = re.sub(r"(?<=\w)’(?=\w)", "'", text)
    straight = "".join(_QUOTES.get(character, character) for character in apostrophes)
    if straight != apostrophes:
        warnings.append(say("Quotation marks were changed to plain ones."))
    doubled = re.sub(r'"([^"]*)"', r"'\1'", straight)
    if doubled != straight:
        warnings.append(say("A cultivar stands in single quotes; the double ones were changed."))
    signed = re.sub(r"(?<!\S)[xX](?=\s)", "×", doubled)
    if signed != doubled:
        warnings.append(say("The letter x was read as the hybrid sign ×."))
    return re.sub(r"\s+", " ", signed)


def _cultivar(text: str, warnings: list[str]) -> tuple[str, str, str]:
    """The text before the cultivar, the cultivar, the text behind it."""
    found = _CULTIVAR.search(text)
    if found:
        before, after = text[: found.start()], text[found.end() :]
        if re.search(r"(?:^|\s)cv\.?\s*$", before):
            before = re.sub(r"cv\.?\s*$", "", before)
            warnings.append(say("'cv.' is no longer written; it was left out."))
        # a cultivar that leads is followed by the Latin name
        return (before, found["epithet"], after.strip()) if before.strip() else (after, found["epithet"], "")
    old = re.search(r"(?:^|\s)cv\.?\s+(?P<epithet>.+)$", text)
    if old:
        warnings.append(say("'cv.' is no longer written; what follows it was taken as the cultivar."))
        return text[: old.start()].strip(), old["epithet"].strip("'\" "), ""
    if "'" in re.sub(r"\w'\w", "", text) or '"' in text:
        warnings.append(say("A quotation mark has no partner."))
        opened = re.search(r"(?<!\S)['\"](?P<epithet>\w.*)$", text)
        if opened:
            return text[: opened.start()].strip(), opened["epithet"], ""
    return text, "", ""


def _group(text: str) -> tuple[str, str]:
    """The text without its Group, and the Group."""
    found = _BRACKETED_GROUP.search(text) or _BARE_GROUP.search(text)
    if not found:
        return text, ""
    return f"{text[: found.start()]} {text[found.end() :]}".strip(), found["group"].strip()


def _out_of_capitals(words: list[str], warnings: list[str]) -> list[str]:
    """Genus and epithets that were written in capitals, as on many labels, in sentence case; words that do not end as Latin does stay."""
    latin = 1
    while latin < len(words) and words[latin].isupper() and (_LATIN_END.search(words[latin]) or words[latin].lower() in _RANKS):
        latin += 1
    if latin == 1 or not words[0].isupper():
        return words
    mended = [words[0].title(), *(word.lower() for word in words[1:latin])]
    warnings.append(say("The Latin name was in capitals: written as {mended}.", mended=" ".join(mended)))
    return [*mended, *words[latin:]]


def _leading_sign(words: list[str]) -> tuple[bool, list[str]]:
    if not words or not words[0].startswith("×"):
        return False, words
    first = words[0][1:]
    return True, [first, *words[1:]] if first else words[1:]


def _latin(words: list[str], warnings: list[str], *, alone: bool) -> dict[str, str]:
    """Genus, species, rank and epithet from the words that are left, the rest kept as typed."""
    parts = {"genus": "", "species": "", "rank": "", "infraspecific": "", "rest": "", "cultivar": ""}
    if not words:
        warnings.append(say("No genus was found."))
        return parts
    parts["genus"], left = words[0], words[1:]
    sign, after_sign = _leading_sign(left)
    if after_sign and _WORD_EPITHET.fullmatch(after_sign[0]) and after_sign[0] not in _RANKS:
        parts["species"], left = after_sign[0], after_sign[1:]
        parts["sign"] = "×" if sign else ""
    if len(left) > 1 and left[0] in _RANKS and _WORD_EPITHET.fullmatch(left[1]):
        parts["rank"], parts["infraspecific"] = _RANKS[left[0]], left[1]
        if left[0] != parts["rank"]:
            warnings.append(say("{left} was written as {rank}", left=left[0], rank=parts["rank"]))
        left = left[2:]
    if left and _looks_like_cultivar(left):
        parts["cultivar"] = " ".join(left)
    else:
        parts["rest"] = " ".join(left)
    if len(words) == 1 and alone:
        warnings.append(say("One word alone was taken as a genus; a cultivar stands in single quotes."))
    return parts


def _looks_like_cultivar(words: list[str]) -> bool:
    """Capitalised words of letters, with none of the signs of an author or a formula."""
    plain = all(re.fullmatch(r"[^\W\d_][\w'’-]*", word) for word in words)
    return plain and words[0][0].isupper() and len(words[0]) > 1 and "ex" not in words and "et" not in words


def _set_trade_apart(parts: dict[str, str], warnings: list[str]) -> None:
    """Move words in capitals from where they ended up (rest, trailing, a cultivar without quotes) to the trade designation."""
    parts["trade_designation"] = ""
    unquoted = say("The cultivar was written without quotes.")
    for place in ("trailing", "rest", "cultivar"):
        quoted = place == "cultivar" and unquoted not in warnings
        if _is_trade(parts[place]) and not quoted and not _is_trade(parts.get("genus", "")) and not parts["trade_designation"]:
            parts["trade_designation"], parts[place] = parts[place], ""
            if place == "cultivar":
                warnings[warnings.index(unquoted)] = say(
                    "Words in capitals were taken as a trade designation; a cultivar stands in single quotes."
                )


def _is_trade(text: str) -> bool:
    letters = [character for character in text if character.isalpha()]
    signed = any(sign in text for sign in _TRADE_SIGNS)
    return (len(letters) > 2 or signed) and (signed or all(character.isupper() for character in letters))


def _judge(parts: dict[str, str], warnings: list[str], published: int | None) -> None:
    """Warn about what looks unusual; the genus alone is mended."""
    genus, cultivar = parts.get("genus", ""), parts["cultivar"]
    if genus and not genus[0].isupper():
        warnings.append(say("A genus begins with a capital: it was changed."))
        parts["genus"] = genus[0].upper() + genus[1:]
    if genus and not re.fullmatch(r"[^\W\d_][^\W\d_-]*(?:-[^\W\d_]+)?\.?", genus):
        warnings.append(say("{genus!r} does not look like a genus.", genus=genus))
    warnings.extend(say("Kept as typed, not understood: {kept}", kept=parts[kept]) for kept in ("rest", "trailing") if parts[kept])
    if cultivar:
        warnings.extend(epithet_warnings(cultivar, genus, published=published))
