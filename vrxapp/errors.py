"""One family of errors and notes, each saying where it is and what to do next."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Note:
    """Something doubtful or done for the user, said in the same words as an error.

    Doubtful data warns with a note, impossible data raises a `VrxError`, and
    nothing is repaired without a note.
    """

    message: str
    mend: str = ""
    file: str = ""
    row: int | None = None
    column: str = ""
    value: str = ""

    def __str__(self) -> str:
        """One or two plain sentences: where, what, and the mend."""
        spot = [self.file] if self.file else []
        spot += [f"row {self.row}"] if self.row is not None else []
        spot += [f"column {self.column}"] if self.column else []
        sentence = f"{', '.join(spot)}: {self.message}" if spot else self.message
        if self.value and self.value not in self.message:
            sentence = f"{sentence} (found: {self.value})"
        return " ".join(part for part in (closed(sentence), closed(self.mend)) if part)


def closed(sentence: str) -> str:
    """A sentence with its full stop, once.

    Examples
    --------
    >>> closed("Table 1"), closed("Was it 6.5?")
    ('Table 1.', 'Was it 6.5?')
    """
    return sentence if not sentence or sentence[-1] in ".?!" else f"{sentence}."


def begun(words: str, *names: str) -> str:
    """Words with a capital, unless they begin with a name, which stays as it is written.

    Examples
    --------
    >>> begun("no zone is chosen"), begun("lab.csv: no rows"), begun("clay is flat", "clay")
    ('No zone is chosen', 'lab.csv: no rows', 'clay is flat')
    """
    first = words.split(maxsplit=1)[:1]
    is_name = not first or not first[0].isalpha() or words.startswith(tuple(filter(None, names)))
    return words if is_name else f"{words[0].upper()}{words[1:]}"


class VrxError(Exception):
    """Root of all errors that a user can meet: where it is, what is wrong, how to mend it.

    Parameters
    ----------
    message : str
        What is wrong, in plain words.
    mend : str, optional
        What to do next.
    file : str, optional
        Name of the file at fault.
    row : int, optional
        Row in that file, counted from 1 as a spreadsheet does.
    column : str, optional
        Column or field.
    value : str, optional
        The offending value as it stands in the file.
    """

    def __init__(
        self,
        message: str,
        *,
        mend: str = "",
        file: str = "",
        row: int | None = None,
        column: str = "",
        value: str = "",
    ) -> None:
        self.note = Note(message, mend, file, row, column, value)
        super().__init__(str(self.note))


class InputFileError(VrxError):
    """A file that cannot be used as it is."""


class GroundError(VrxError):
    """A shape or a coordinate system that cannot be right."""


class SoilInputError(VrxError):
    """A value outside the range in which a rule holds."""


class UnknownChoiceError(VrxError):
    """A name that nothing answers to; the mend lists what there is."""


class MissingInputError(VrxError):
    """Something that the step needs has not been given yet."""


class RefusedMixError(VrxError):
    """Products that must never meet; no quantity is worked out for them."""


class TargetExistsError(VrxError):
    """The place to write to is taken, and nothing is overwritten untold."""


class WriteError(VrxError):
    """A file could not be written; what stood there before still stands."""


class ReadBackError(VrxError):
    """A written file, read back, differs from the plan; it was not put in place."""


class FarmFileError(VrxError):
    """A farm file that is damaged, of a newer format, or no farm file at all."""
