"""A sample plan as a page to print: a sketch, the bags, and a box to tick for each stop."""

from collections.abc import Sequence
from html.parser import HTMLParser
from pathlib import Path
from xml.etree.ElementTree import Element, SubElement, tostring

import numpy as np

from vrxapp import __version__
from vrxapp.errors import ReadBackError
from vrxapp.files.sketch_map import sketch_map
from vrxapp.files.write_aside import new_file
from vrxapp.ground.ground_points import GroundPointKind, cautions_for
from vrxapp.ground.paddock import Paddock
from vrxapp.ground.projected_crs import LON_LAT, transformed_xy
from vrxapp.ground.sample_plan import DIGGING_CAUTION, SamplePlan, bags_of
from vrxapp.ground.zones import Zones

_DECIMALS = 6
"""Of a degree: a tenth of a metre, as a phone shows it."""
_BOX = "\N{BALLOT BOX}"
_STYLE = """
@page { size: A4; margin: 12mm; }
body { font: 11pt/1.35 sans-serif; color: #000; background: #fff; max-width: 190mm; margin: auto; }
h1 { font-size: 17pt; margin: 0 0 2mm; } h2 { font-size: 12pt; margin: 5mm 0 1mm; }
p { margin: 0 0 1.5mm; }
svg { width: 100%; max-height: 122mm; border: 1px solid #999; }
table { border-collapse: collapse; width: 100%; }
th, td { border: 1px solid #777; padding: 0.8mm 2mm; text-align: left; }
.n { text-align: right; } .tick { text-align: center; font-size: 14pt; line-height: 1; }
tr, svg, #bags { page-break-inside: avoid; } thead { display: table-header-group; }
.blanks span { display: inline-block; border-bottom: 1px solid #000; width: 42mm; }
"""


def write_sample_sheet(plan: SamplePlan, path: Path, *, paddock: Paddock, zones: Zones) -> None:
    """Write a plan as a page to print, and read it back.

    Parameters
    ----------
    plan : SamplePlan
        What to write.
    path : Path
        File to write, ending in ``.html``; an older one is replaced.
    paddock, zones : Paddock and Zones
        For the sketch.

    Raises
    ------
    ReadBackError
        If what was written is not the plan; then nothing is put in place.
    WriteError
        If it cannot be written.
    """
    text = sample_sheet_html(plan, paddock=paddock, zones=zones)
    with new_file(path) as aside:
        aside.write_text(text, encoding="utf-8", newline="\n")
        if _stops_in(aside.read_text("utf-8")) != [list(row) for row in _stop_rows(plan)]:
            raise ReadBackError(
                "the stops in the written page are not those of the plan",
                mend="Nothing was put in place. Write it again; if it happens again, report it",
                file=path.name,
            )


def sample_sheet_html(plan: SamplePlan, *, paddock: Paddock, zones: Zones) -> str:
    """A plan as a page that needs no other file.

    Parameters
    ----------
    plan : SamplePlan
        What to tell.
    paddock, zones : Paddock and Zones
        For the sketch.
    """
    page = Element("html", {"lang": "en-AU"})
    head = SubElement(page, "head")
    SubElement(head, "meta", {"charset": "utf-8"})
    title = f"Soil samples: {paddock.name}"
    SubElement(head, "title").text = title
    SubElement(head, "style").text = _STYLE
    body = SubElement(page, "body")
    SubElement(body, "h1").text = title
    _add_how(body, plan)
    x, y = transformed_xy(
        plan.longitude_degree, plan.latitude_degree, from_crs=LON_LAT, to_crs=paddock.crs
    )
    body.append(sketch_map(paddock, zones, np.column_stack([x, y]), plan.points))
    _add_bags(body, plan)
    _add_stops(body, plan)
    _add_points(body, plan)
    SubElement(body, "h2").text = "Mind"
    for caution in (DIGGING_CAUTION, *cautions_for(plan.points)):
        SubElement(body, "p").text = caution
    SubElement(body, "p").text = f"Made with vrxapp {__version__}."
    return "<!DOCTYPE html>\n" + tostring(page, encoding="unicode", method="html") + "\n"


def _add_how(body: Element, plan: SamplePlan) -> None:
    """Blanks to fill in, and what is done at each stop."""
    blanks = SubElement(body, "p", {"class": "blanks"})
    for label in ("Date", "Taken by", "Tool"):
        gap = SubElement(blanks, "span")
        gap.tail = "  "
        gap.text = "\N{NO-BREAK SPACE}"
        _before(blanks, gap, f"{label} ")
    depth = f"{plan.depth_cm} cm deep" if plan.depth_cm else "to one depth (not told in the plan)"
    SubElement(body, "p").text = (
        f"{len(plan.sample_ids)} stops, {int(plan.cores.sum())} cores {depth}, into "
        f"{len(bags_of(plan))} bags; {plan.walk_m / 1e3:.1f} km straight from stop to stop. Write "
        "on each bag what stands in the table, and nothing else, so that the laboratory's sheet "
        "finds its zones."
    )
    gates = [p.name for p in plan.points if p.kind is GroundPointKind.GATE]
    for sentence in (*([f"Begin at {gates[0]}."] if gates else []), *plan.advice):
        SubElement(body, "p").text = sentence


def _before(parent: Element, child: Element, text: str) -> None:
    """Put text before a child."""
    siblings = list(parent)
    at = siblings.index(child)
    if at == 0:
        parent.text = text
    else:
        siblings[at - 1].tail = (siblings[at - 1].tail or "") + text


def _add_bags(body: Element, plan: SamplePlan) -> None:
    SubElement(body, "h2").text = "Bags"
    depth = plan.depth_cm or "-"
    rows = [
        (bag.sample_id, bag.zone_name or "-", ", ".join(map(str, bag.stops)), str(bag.cores), depth)
        for bag in bags_of(plan)
    ]
    headings = ("Write on the bag", "Zone", "Stops", "Cores in it", "Depth cm", "Full")
    _add_table(body, "bags", headings, rows, numbers={3})


def _add_stops(body: Element, plan: SamplePlan) -> None:
    SubElement(body, "h2").text = "Stops in walking order"
    headings = ("Stop", "Bag", "Zone", "Cores", "Latitude °", "Longitude °", "Done")
    _add_table(body, "stops", headings, _stop_rows(plan), numbers={0, 3, 4, 5})


def _stop_rows(plan: SamplePlan) -> list[tuple[str, ...]]:
    """What stands in the table of stops, without the box."""
    return [
        (
            str(row + 1),
            plan.sample_ids[row],
            plan.zone_names[row] or "-",
            str(int(plan.cores[row])),
            f"{plan.latitude_degree[row]:.{_DECIMALS}f}",
            f"{plan.longitude_degree[row]:.{_DECIMALS}f}",
        )
        for row in range(len(plan.sample_ids))
    ]


def _add_points(body: Element, plan: SamplePlan) -> None:
    """Gates and others, where there are any."""
    if plan.points:
        SubElement(body, "h2").text = "Gates and other points"
        for point in plan.points:
            note = f": {point.note}" if point.note else ""
            SubElement(body, "p").text = f"{point.name} ({point.kind}){note}"


def _add_table(
    body: Element,
    name: str,
    headings: tuple[str, ...],
    rows: Sequence[tuple[str, ...]],
    *,
    numbers: set[int],
) -> None:
    """A table whose last column is a box to tick."""
    table = SubElement(body, "table", {"id": name})
    line = SubElement(SubElement(table, "thead"), "tr")
    for column, heading in enumerate(headings):
        SubElement(line, "th", {"class": "n"} if column in numbers else {}).text = heading
    inner = SubElement(table, "tbody")
    for row in rows:
        line = SubElement(inner, "tr")
        for column, text in enumerate(row):
            SubElement(line, "td", {"class": "n"} if column in numbers else {}).text = text
        SubElement(line, "td", {"class": "tick"}).text = _BOX


class _StopReader(HTMLParser):
    """Reads the cells of the table of stops."""

    def __init__(self) -> None:
        super().__init__()
        self.rows: list[list[str]] = []
        self._is_in_stops = self._is_in_cell = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Follow the way into the table."""
        if tag == "table":
            self._is_in_stops = dict(attrs).get("id") == "stops"
        elif tag == "tr" and self._is_in_stops:
            self.rows.append([])
        elif tag == "td" and self._is_in_stops:
            self._is_in_cell = True
            self.rows[-1].append("")

    def handle_endtag(self, tag: str) -> None:
        """Follow the way out."""
        if tag == "td":
            self._is_in_cell = False
        elif tag == "table":
            self._is_in_stops = False

    def handle_data(self, data: str) -> None:
        """Take the text of a cell."""
        if self._is_in_cell:
            self.rows[-1][-1] += data


def _stops_in(text: str) -> list[list[str]]:
    """The rows of stops in a page, without their boxes."""
    reader = _StopReader()
    reader.feed(text)
    return [row[:-1] for row in reader.rows if row]
