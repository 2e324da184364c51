"""How zones are made: the method with its fields, and behind a fold how they are tidied."""

from typing import TYPE_CHECKING

from PySide6.QtCore import Signal, Slot
from PySide6.QtWidgets import QFormLayout, QLineEdit, QSpinBox, QVBoxLayout, QWidget

from vrxapp.desktop.stages.fold import FieldFold
from vrxapp.desktop.stages.sheet_parts import (
    add_row,
    combo_field,
    fill_combo,
    grown_form,
    number_field,
)
from vrxapp.errors import MissingInputError
from vrxapp.ground.guidance import bearing_degree, is_straight
from vrxapp.season import Season

if TYPE_CHECKING:
    from vrxapp.workflows.make_zones import TidyRules

_METHODS = (
    ("k-means", "Groups that are alike (k-means)"),
    ("fuzzy", "Groups that are alike (fuzzy)"),
    ("quantiles", "Classes of equal ground"),
    ("natural", "Natural classes"),
    ("breaks", "Classes at your own breaks"),
    ("squares", "Squares of so many hectares"),
    ("samples", "Ground around each sample"),
)
_GROUPED = {"k-means", "fuzzy"}
_NUMBERED = {"k-means", "fuzzy", "quantiles", "natural"}
_FIRST_WIDTH_M = 24.0
_CELL_M = 5.0


class MethodFields(QWidget):
    """Fields that fit the method are shown, the others are hidden."""

    changed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._method = combo_field("zoningMethodCombo", self)
        for key, text in _METHODS:
            self._method.addItem(text, key)
        self._count = QSpinBox(self)
        self._count.setObjectName("zoningCountField")
        self._count.setRange(1, 12)
        self._count.setValue(1)
        self._count.setSpecialValueText("the crispest")
        self._breaks = QLineEdit(self)
        self._breaks.setObjectName("zoningBreaksField")
        self._breaks.setPlaceholderText("20, 35")
        self._hectares = number_field("zoningHectaresField", self, unit="ha", low=0.05, high=1e4)
        self._hectares.setValue(2.0)
        self._bearing = number_field(
            "zoningBearingField", self, unit="°", low=-180, high=180, decimals=1
        )
        self._sampled = combo_field("zoningSampledCombo", self)
        self._form = grown_form(None)
        self._rows()
        tidy = QWidget(self)
        self._tidy_fields(grown_form(tidy))
        self._fold = FieldFold("zoningTidy", "Cells and t&idying", tidy, self)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addLayout(self._form)
        layout.addWidget(self._fold)
        self._method.currentIndexChanged.connect(self._on_method)
        for signal in (self._count.valueChanged, self._breaks.textEdited,
                       self._hectares.valueChanged, self._bearing.valueChanged,
                       self._sampled.activated):  # fmt: skip
            signal.connect(self.changed)
        self._on_method()

    def _rows(self) -> None:
        for text, field, tip in (
            ("Me&thod", self._method, "How cells become zones"),
            ("&Number", self._count, "How many groups; the crispest is looked for from 2 to 6"),
            ("&Breaks", self._breaks, "Where the layer is cut, in its unit: 20, 35"),
            ("Siz&e", self._hectares, "Hectares of a square"),
            (
                "Bea&ring",
                self._bearing,
                "Of the squares' sides, from grid north; begins as the "
                "first straight guidance line",
            ),
            ("Sam&ples of", self._sampled, "Which test's samples get ground around them"),
        ):
            add_row(self._form, text, field, tip)

    def _tidy_fields(self, form: QFormLayout) -> None:
        """Cells, and the rules that make zones out of groups of cells."""
        self._tidy, self._cell_m = {}, _CELL_M
        for name, text, unit, value, high, tip in (
            ("cell", "Cell", "m", _CELL_M, 100.0, "Side of the cells that zones are made of"),
            ("reach", "Reach", "m", 25.0, 500.0, "How far a cell without a point looks for some"),
            ("majority", "Majority", "m", 25.0, 500.0,
             "Side of the square in which most cells decide; 0 for none"),
            ("leastArea", "Least area", "ha", 0.5, 1e3, "Smaller parts go to their neighbour"),
            ("leastWidth", "Least width", "m", _FIRST_WIDTH_M, 500.0,
             "Narrower parts go to their neighbour: the swath of the machine"),
            ("smooth", "Smoothing", "m", _CELL_M, 100.0,
             "How far an edge may move to lose its steps: a cell"),
            ("seed", "Seed", "", 0.0, 1e6, "Of the random starts; the same gives the same zones"),
        ):  # fmt: skip
            low = 0.5 if name == "cell" else 0.0
            decimals = 0 if name == "seed" else 1
            field = number_field(
                f"zoning_{name}", self, unit=unit, low=low, high=high, decimals=decimals
            )
            field.setValue(value)
            field.valueChanged.connect(self.changed)
            self._tidy[name] = field
            add_row(form, text, field, tip)
        self._tidy["cell"].valueChanged.connect(self._on_cell)

    @Slot(float)
    def _on_cell(self, cell_m: float) -> None:
        """Let an edge move by a cell, as long as nobody has asked for another figure."""
        if self._tidy["smooth"].value() == self._cell_m:
            self._tidy["smooth"].setValue(cell_m)
        self._cell_m = cell_m

    def show_season(self, season: Season) -> None:
        """Begin with the swath of the season's machine, its own tests, and how it drives."""
        if season.operations:
            self._tidy["leastWidth"].setValue(season.operations[0].machine.swath_width_m)
        straight = [line for line in season.guidance if is_straight(line)]
        if straight:
            self._bearing.setValue(bearing_degree(straight[0]) % 180.0)
        self.show_tests(season)

    def show_tests(self, holder: object) -> None:
        """Offer the tests of a season, or of a sheet; the chosen one stays chosen."""
        sheet = holder.tests if isinstance(holder, Season) else holder
        columns = sheet.columns if sheet is not None else ()
        entries = [(column.analyte.name, column.analyte.key) for column in columns]
        keys = [key for _, key in entries]
        kept = self._sampled.currentData()
        fill_combo(self._sampled, entries, kept if kept in keys else next(iter(keys), ""))

    @property
    def method(self) -> str:
        """Key of the method."""
        return str(self._method.currentData())

    def choose_method(self, key: str) -> None:
        """Choose a method by its key."""
        self._method.setCurrentIndex(self._method.findData(key))

    def choose_count(self, count: int) -> None:
        """Ask for so many groups."""
        self._count.setValue(count)

    def value(self, name: str) -> float:
        """A figure behind the fold."""
        return float(self._tidy[name].value())

    @property
    def squares(self) -> tuple[float, float]:
        """Hectares and bearing of squares."""
        return self._hectares.value(), self._bearing.value()

    @property
    def sampled(self) -> str:
        """Key of the test whose samples get ground."""
        return str(self._sampled.currentData() or "")

    def count(self) -> int | None:
        """How many zones; None for the crispest number."""
        return self._count.value() if self._count.value() > 1 else None

    def breaks(self) -> tuple[float, ...]:
        """Own breaks.

        Raises
        ------
        MissingInputError
            If they cannot be read.
        """
        text = self._breaks.text()
        try:
            return tuple(float(part) for part in text.split(",") if part.strip())
        except ValueError:
            raise MissingInputError(
                f"cannot read the breaks {text!r}", mend="Write them as 20, 35"
            ) from None

    def tidy(self) -> "TidyRules":
        """How groups become zones."""
        from vrxapp.workflows.make_zones import TidyRules  # brings the readers of files

        return TidyRules(
            majority_m=self.value("majority"),
            least_ha=self.value("leastArea"),
            least_width_m=self.value("leastWidth"),
            smooth_m=self.value("smooth"),
        )

    @Slot()
    def _on_method(self) -> None:
        method = self.method
        for field, fits in (
            (self._count, method in _NUMBERED),
            (self._breaks, method == "breaks"),
            (self._hectares, method == "squares"),
            (self._bearing, method == "squares"),
            (self._sampled, method == "samples"),
        ):
            self._form.setRowVisible(field, fits)
        self._fold.setVisible(method not in ("squares", "samples"))
        self.changed.emit()
