"""Cleaning of typed station and offset text, and the two errors that reading it can raise."""

import re
import unicodedata

_DASHES = str.maketrans({"\u2212": "-", "\u2013": "-", "\u2014": "-", "\u2010": "-", "\u2011": "-"})
_QUOTES = str.maketrans({"\u2019": "'", "\u2032": "'", "\u00b4": "'", "\u201c": '"', "\u201d": '"', "\u2033": '"'})
_LONGEST = 80
_DIGIT_LIKE = "0-9OoIl|"
# letters typed for digits, inside a number that also has real digits: 1O+5O, l2+34
_MIXED_STATION = re.compile(rf"(?<![A-Za-z0-9])([{_DIGIT_LIKE}]+)(\s*\+\s*)([{_DIGIT_LIKE}]+)(\.[{_DIGIT_LIKE}]*)?")
_LETTERS_AS_DIGITS = str.maketrans({"O": "0", "o": "0", "I": "1", "l": "1", "|": "1"})


class PlaceTextError(ValueError):
    """A station or offset could not be read. The sentence says what was read and what is wanted."""


class NotUnderstood(PlaceTextError):
    """The text is no station or offset in any way of writing that is known."""


class AmbiguousText(PlaceTextError):
    """The text can be read in more than one way; `question` asks which. Nothing is guessed."""

    def __init__(self, question: str) -> None:
        self.question = question
        super().__init__(question)


def tidy(text: str) -> str:
    """Plain digits, dashes, quotes and single spaces. Full-width forms become ordinary ones.

    Raises `NotUnderstood` for text that is empty, too long, or holds control characters.
    """
    if len(text) > _LONGEST:
        raise NotUnderstood(f"A station or offset has at most {_LONGEST} characters; this text has {len(text)}.")
    if any(unicodedata.category(character) == "No" for character in text):
        raise NotUnderstood(f"“{text}” holds a fraction or raised figure. Write it with a decimal point.")
    cleaned = unicodedata.normalize("NFKC", text.translate(_DASHES).translate(_QUOTES))
    cleaned = " ".join(cleaned.translate(_DASHES).translate(_QUOTES).split())
    if not cleaned:
        raise NotUnderstood("Nothing is written here. Give a station such as 12+34.56.")
    if any(unicodedata.category(character).startswith("C") for character in cleaned):
        raise NotUnderstood("The text holds characters that cannot be seen. Type it again.")
    return cleaned


def letters_to_digits(text: str) -> str:
    """O, o, I, l and | become digits inside numbers with a plus that hold at least one real digit."""

    def repair(match: re.Match[str]) -> str:
        found = match.group(0)
        has_digit = any(character.isdigit() for character in found)
        return found.translate(_LETTERS_AS_DIGITS) if has_digit else found

    return _MIXED_STATION.sub(repair, text)
