from xml.etree.ElementTree import fromstring

import pytest
import shapely

from vrxapp.errors import GroundError
from vrxapp.files.kml_shapes import shapes_from_kml

SQUARE = "149,-35 149.01,-35 149.01,-34.99 149,-34.99"


def shapes(content):
    return shapes_from_kml(fromstring(f"<Placemark>{content}</Placemark>"))  # noqa: S314


def at(tag, coordinates):
    return f"<{tag}><coordinates>{coordinates}</coordinates></{tag}>"


def polygon(ring):
    return f"<Polygon><outerBoundaryIs>{at('LinearRing', ring)}</outerBoundaryIs></Polygon>"


def test_points_lines_and_rings_are_read():
    assert shapes(at("Point", " 149,-35,10 "))[0] == [shapely.Point(149, -35, 10)]
    assert shapes(at("LineString", "149,-35\n149.1,-35"))[0][0].geom_type == "LineString"
    assert shapes(at("LinearRing", f"{SQUARE} 149,-35"))[0][0].is_closed


def test_parts_of_one_kind_become_one_shape():
    other = polygon("150,-35 150.1,-35 150.1,-34.9 150,-35")
    found, told = shapes(
        f"<MultiGeometry>{polygon(SQUARE + ' 149,-35')}<MultiGeometry>{other}</MultiGeometry>"
        "</MultiGeometry>"
    )
    assert [shape.geom_type for shape in found] == ["MultiPolygon"]
    assert told == []


def test_several_kinds_become_a_feature_each_and_are_told():
    content = polygon(f"{SQUARE} 149,-35") + at("Point", "149,-35")
    found, told = shapes(f"<MultiGeometry>{content}</MultiGeometry>")
    assert [shape.geom_type for shape in found] == ["Polygon", "Point"]
    assert told[0][0] == "it holds several kinds of shape (Point, Polygon), each now a feature"


def test_a_small_gap_is_closed_and_told():
    found, told = shapes(polygon(f"{SQUARE} 149,-34.99999"))
    assert found[0].is_valid
    assert told[0][0] == "a ring was open by 1.11 m and was closed"


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (polygon(SQUARE), "a ring is not closed: its first and last corner lie 1109.4 m apart"),
        (polygon("149,-35 149,-35 149,-35"), "fewer than three corners"),
        ("<Polygon/>", "no outline"),
        (at("Point", ""), "no coordinates"),
        ("<Point/>", "no coordinates"),
        (at("LineString", "149,-35"), "only one position"),
        (at("Point", "149"), "a position is not"),
        (at("Point", "149;-35"), "a position is not"),
        (at("Point", "nan,-35"), "a position is not"),
        ("<Model/>", "a shape of type 'Model' cannot be used"),
        ("<Track/>", "a shape of type 'Track' cannot be used"),
    ],
)
def test_what_cannot_be_right_is_refused(content, said):
    with pytest.raises(GroundError, match=said):
        shapes(content)
