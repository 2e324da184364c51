"""Light and dark: one palette each, made from the same scheme as the map."""

from PySide6.QtGui import QColor, QFont, QPalette
from PySide6.QtWidgets import QApplication

from vrxapp.color_scheme import DARK, LIGHT, Scheme

FONT_FAMILIES = ("Noto Sans", "DejaVu Sans", "Segoe UI", "Helvetica Neue", "Arial")
FONT_POINTS = 10.0
_FIELD = {LIGHT: "#ffffff", DARK: "#10171a"}
_FAINT = {LIGHT: "#5a6568", DARK: "#9fabaf"}
_RULE = {LIGHT: "#c3cbc8", DARK: "#39464b"}
_SELECTED = {LIGHT: "#1f5f6b", DARK: "#8fd3df"}
_ON_SELECTED = {LIGHT: "#ffffff", DARK: "#0d1315"}


def scheme_of(*, is_dark: bool) -> Scheme:
    """The colours of the surroundings."""
    return DARK if is_dark else LIGHT


def apply_theme(application: QApplication, *, is_dark: bool) -> None:
    """Give the whole program its style, font and colours."""
    scheme = scheme_of(is_dark=is_dark)
    font = QFont()
    font.setFamilies(list(FONT_FAMILIES))
    font.setPointSizeF(FONT_POINTS)
    application.setFont(font)
    application.setPalette(_palette(scheme))
    application.setStyleSheet(_style_sheet(scheme))


def _palette(scheme: Scheme) -> QPalette:
    """Qt's colour roles from a scheme."""
    palette = QPalette()
    roles = QPalette.ColorRole
    for role, color in (
        (roles.Window, scheme.plate),
        (roles.WindowText, scheme.text),
        (roles.Base, _FIELD[scheme]),
        (roles.AlternateBase, scheme.background),
        (roles.Text, scheme.text),
        (roles.Button, scheme.plate),
        (roles.ButtonText, scheme.text),
        (roles.BrightText, scheme.accent),
        (roles.ToolTipBase, scheme.plate),
        (roles.ToolTipText, scheme.text),
        (roles.PlaceholderText, _FAINT[scheme]),
        (roles.Link, _SELECTED[scheme]),
        (roles.Highlight, _SELECTED[scheme]),
        (roles.HighlightedText, _ON_SELECTED[scheme]),
        (roles.Mid, _RULE[scheme]),
    ):
        palette.setColor(role, QColor(color))
    for role in (roles.WindowText, roles.Text, roles.ButtonText):
        palette.setColor(QPalette.ColorGroup.Disabled, role, QColor(_FAINT[scheme]))
    return palette


def _style_sheet(scheme: Scheme) -> str:
    """What the palette cannot say: rules, the rail, the message bar and the focus."""
    return f"""
    #stageRail {{ background: {scheme.background}; border-right: 1px solid {_RULE[scheme]}; }}
    #stageRail QToolButton {{ border: none; border-left: 3px solid transparent;
        padding: 7px 2px 6px 0px; }}
    #stageRail QToolButton:hover:enabled {{ background: {scheme.plate}; }}
    #stageRail QToolButton:checked {{ border-left: 3px solid {_SELECTED[scheme]};
        background: {scheme.plate}; font-weight: bold; }}
    #stageRail QToolButton:focus {{ background: {scheme.plate};
        border-left: 3px solid {scheme.accent}; }}
    #stageSheet {{ border-left: 1px solid {_RULE[scheme]}; }}
    #emptyGround {{ background: {scheme.background}; }}
    #messageBar {{ background: {scheme.background}; border: 1px solid {scheme.accent};
        border-radius: 4px; }}
    QLabel[role="title"] {{ font-size: 14pt; font-weight: bold; }}
    QLabel[role="heading"] {{ font-weight: bold; }}
    QLabel[role="faint"] {{ color: {_FAINT[scheme]}; }}
    QDoubleSpinBox, QSpinBox, QComboBox, QLineEdit {{ min-height: 22px; }}
    QTableView {{ gridline-color: {_RULE[scheme]}; border: none;
        border-top: 1px solid {_RULE[scheme]}; }}
    QTableView::item {{ padding: 0px 8px; }}
    QHeaderView::section {{ background: {scheme.background}; border: none; padding: 4px 8px;
        border-bottom: 1px solid {_RULE[scheme]}; }}
    QStatusBar {{ border-top: 1px solid {_RULE[scheme]}; }}
    QPushButton:checked {{ background: {_SELECTED[scheme]}; color: {_ON_SELECTED[scheme]};
        border: 1px solid {_SELECTED[scheme]}; border-radius: 3px; padding: 4px 8px; }}
    QPushButton:checked:focus {{ border: 2px solid {scheme.accent}; padding: 3px 7px; }}
    QTextBrowser {{ border: 1px solid {_RULE[scheme]}; border-radius: 4px; }}
    QToolTip {{ color: {scheme.text}; background: {scheme.plate};
        border: 1px solid {_RULE[scheme]}; padding: 4px; }}
    """
