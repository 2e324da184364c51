"""The dialog for one's own files: one field a part, with what was guessed already in it."""

from pathlib import Path

from PySide6.QtCore import QSettings, Slot
from PySide6.QtWidgets import (
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QFileDialog,
    QFormLayout,
    QHBoxLayout,
    QLineEdit,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from vrxapp.agronomy.crops import crops
from vrxapp.desktop.given_files import GivenFiles
from vrxapp.desktop.stages.sheet_parts import add_row, combo_field, faint, fill_combo, number_field
from vrxapp.errors import VrxError
from vrxapp.workflows.first_plan import PlanSettings
from vrxapp.workflows.open_files import SeasonFiles

_PARTS = (
    ("boundary", "&Boundary", "Polygon of the paddock; needed"),
    ("zones", "&Zones", "Zones; left out, the whole paddock is one"),
    ("exclusions", "&Exclusions", "Dams, creeks, trees with kind and setback_m"),
    ("strips", "Check &strips", "Middle lines of check strips with width_m"),
    ("lab", "&Lab sheet", "Results of the laboratory (CSV or XLSX)"),
)
_FOLDER = "folders/open"
_LAB_KINDS = "Lab sheet (*.csv *.xlsx)"


class OpenFilesDialog(QDialog):
    """Which file is what, which crop, and the yield aimed at."""

    def __init__(self, given: GivenFiles, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("openFilesDialog")
        self.setWindowTitle("Open your own files")
        self.setMinimumWidth(560)
        self._paths: dict[str, QLineEdit] = {}
        self._layers: dict[str, QComboBox] = {}
        form = QFormLayout()
        for part, text, tip in _PARTS:
            self._add_path(form, part, text, tip)
            path = getattr(given, part)
            self._paths[part].setText(str(path) if path else "")
        self._crop = QComboBox(self)
        self._crop.setObjectName("openCropCombo")
        for crop in crops():
            self._crop.addItem(crop.name, crop.key)
        self._yield = number_field("openYieldSpinBox", self, unit="t/ha", low=0.0, high=200.0)
        self._crs = QLineEdit(self)
        self._crs.setObjectName("openCrsEdit")
        self._crs.setPlaceholderText("as the files say")
        add_row(
            form,
            "Coordinate s&ystem",
            self._crs,
            "Only for files that name none, for instance EPSG:7855",
        )
        add_row(form, "&Crop", self._crop, "What is grown this season")
        self._yield.setKeyboardTracking(True)
        add_row(form, "&Target yield", self._yield, "Yield aimed at; needed")
        self._buttons = QDialogButtonBox(
            QDialogButtonBox.StandardButton.Open | QDialogButtonBox.StandardButton.Cancel, self
        )
        self._buttons.setObjectName("openFilesButtons")
        self._buttons.accepted.connect(self.accept)
        self._buttons.rejected.connect(self.reject)
        layout = QVBoxLayout(self)
        layout.addWidget(
            faint(
                "Needed are the boundary and a target yield; everything can be changed later.",
                self,
            )
        )
        layout.addLayout(form)
        layout.addWidget(self._buttons)
        self._paths["boundary"].textChanged.connect(self._allow)
        self._yield.valueChanged.connect(self._allow)
        self._allow()

    def _add_path(self, form: QFormLayout, part: str, text: str, tip: str) -> None:
        """A field for a path, with a button that browses for it."""
        field = QLineEdit(self)
        field.setObjectName(f"{part}PathEdit")
        browse = QToolButton(self)
        browse.setObjectName(f"{part}BrowseButton")
        browse.setText("…")
        browse.setToolTip(f"Browse for the {part} file")
        browse.setAccessibleName(f"Browse for the {part} file")
        browse.clicked.connect(lambda: self._browse(part))
        holder = QWidget(self)
        row = QHBoxLayout(holder)
        row.setContentsMargins(0, 0, 0, 0)
        layer = combo_field(f"{part}LayerCombo", self)
        layer.setAccessibleName(f"Layer of the {part} file")
        layer.setToolTip(f"Which layer of the {part} file")
        layer.hide()
        row.addWidget(field, 2)
        row.addWidget(layer, 1)
        row.addWidget(browse)
        self._layers[part] = layer
        field.textChanged.connect(lambda text: self._show_layers(part, text))
        add_row(form, text, field, tip, holder=holder)
        self._paths[part] = field

    def _browse(self, part: str) -> None:
        settings = QSettings()
        start = settings.value(_FOLDER, str(Path.home()))
        kinds = _LAB_KINDS if part == "lab" else shape_kinds()
        name, _ = QFileDialog.getOpenFileName(self, f"The {part} file", str(start), kinds)
        if name:
            settings.setValue(_FOLDER, str(Path(name).parent))
            self._paths[part].setText(name)

    def _show_layers(self, part: str, text: str) -> None:
        """Let a layer be chosen where a file holds several."""
        names = _layer_names(_path(text)) if part != "lab" else ()
        combo = self._layers[part]
        fill_combo(combo, [(name, name) for name in names], names[0] if names else "")
        combo.setVisible(len(names) > 1)

    @Slot()
    def _allow(self) -> None:
        button = self._buttons.button(QDialogButtonBox.StandardButton.Open)
        is_enough = bool(self._paths["boundary"].text().strip()) and self._yield.value() > 0
        button.setEnabled(is_enough)

    def files(self) -> SeasonFiles:
        """The files that were chosen."""
        paths = {part: _path(field.text()) for part, field in self._paths.items()}
        boundary = paths.pop("boundary")
        assert boundary is not None
        layers = tuple(
            (part, combo.currentData()) for part, combo in self._layers.items() if combo.count() > 1
        )
        return SeasonFiles(boundary=boundary, layers=layers, crs=self._crs.text().strip(), **paths)

    def settings(self) -> PlanSettings:
        """Crop and target yield that were chosen."""
        return PlanSettings(crop=self._crop.currentData(), target_yield_t_ha=self._yield.value())


def shape_kinds(also: str = "") -> str:
    """All files of shapes that can be read, as a filter for a dialog; one more ending, if told."""
    from vrxapp.files.formats import known_formats  # heavy, so only when files are asked for

    suffixes = [suffix for _, known in known_formats() for suffix in known]
    endings = " ".join(f"*{suffix}" for suffix in (*suffixes, *([also] if also else ())))
    return f"Shapes ({endings})"


def _layer_names(path: Path | None) -> tuple[str, ...]:
    """The layers of a file; none where it cannot be opened, which opening it will tell."""
    from vrxapp.files.formats import opened_format  # heavy, so only when files are given

    if path is None or not path.is_file():
        return ()
    try:
        return opened_format(path).layers(path)
    except VrxError:
        return ()


def _path(text: str) -> Path | None:
    return Path(text.strip()) if text.strip() else None
