"""A reading by its name: a quantity, or one element of an array."""

from __future__ import annotations

from functools import lru_cache


class ReadingId(str):
    """One reading: `rpm`, `cht[2]`. It is its text too, and sorts, prints and is written as that; nobody else takes the
    text apart. `element` counts from 1; none of a quantity that is no array."""

    __slots__ = ("element", "quantity")

    quantity: str
    element: int | None

    def __new__(cls, text: str) -> ReadingId:
        if isinstance(text, cls):
            return text
        reading_id = str.__new__(cls, text)
        reading_id.quantity, _, rest = text.partition("[")
        number = rest.removesuffix("]")
        # A name that is made of several readings (`cht[1] - hottest`) goes by the first, and is no element of it.
        reading_id.element = int(number) if number.isdecimal() else None
        return reading_id

    @property
    def parts(self) -> tuple[str, int | None]:
        """The quantity and the element."""
        return self.quantity, self.element


@lru_cache(maxsize=2**14)
def variable(quantity: str, element: int | None) -> ReadingId:
    """The reading of a quantity, or of one element of it."""
    return ReadingId(quantity if element is None else f"{quantity}[{element}]")
