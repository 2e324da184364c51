"""Labels: the largest first, none over another, none where it has no room."""

import numpy as np
import pytest
import shapely

from vrxapp.desktop.map.label_anchors import find_anchors
from vrxapp.desktop.map.label_art import LabelArt
from vrxapp.desktop.map.labels import LabelBoard
from vrxapp.desktop.map.marker_layer import MarkerLayer
from vrxapp.desktop.map.zone_layer import ZoneLayer
from vrxapp.legend import DARK, LIGHT, Step

STEP = Step("60", "#8e4b97")


def anchors_of(layer):
    found = []
    for _ in find_anchors(layer, found, []):
        pass
    return found[0]


def test_a_label_belongs_inside_its_area_even_where_the_middle_is_a_hole(block, place):
    ring = block(0, 0, 300, 300).difference(block(80, 80, 220, 220))
    anchors = anchors_of(ZoneLayer("zones", [ring], (STEP,), labels=("Ring",)))
    assert ring.contains(shapely.Point(anchors.easting_m[0], anchors.northing_m[0]))
    # The roomiest corner: a circle that touches two sides and the corner of the hole.
    assert anchors.room_m[0] == pytest.approx(80 * (2 - 2**0.5), rel=0.1)


def test_the_label_of_a_strip_is_in_its_middle(block, place):
    anchors = anchors_of(ZoneLayer("strips", [block(0, 0, 400, 30)], (STEP,), labels=("Strip",)))
    assert (anchors.easting_m[0], anchors.northing_m[0]) == pytest.approx(place(200, 15))


def test_larger_areas_come_first_and_rows_without_a_label_not_at_all(block):
    shapes = [block(0, 0, 10, 10), block(0, 20, 50, 60), block(0, 70, 5, 75)]
    layer = ZoneLayer("zones", shapes, (STEP,), labels=("small", "large", ""))
    assert anchors_of(layer).rows.tolist() == [1, 0]


def test_a_zone_with_room_shows_its_label(show_map, zones, unlabelled_zones, pixels_of):
    labelled, bare = show_map(zones), show_map(unlabelled_zones)
    rows, columns = np.nonzero((pixels_of(labelled) != pixels_of(bare)).any(axis=2))
    assert len(rows) > 500
    x, y = labelled.view().to_pixels(*np.add(zones.bounds[:2], (100, 150)))
    west = columns < 320
    assert columns[west].mean() == pytest.approx(x, abs=4)
    assert rows[west].mean() == pytest.approx(y, abs=4)


def labels_of(view, layer):
    board, art = LabelBoard(), LabelArt("DejaVu Sans", LIGHT, 1.0)
    board.set_layers((layer,))
    for _ in board.place(view.view(), art):
        pass
    return board.labels()


def test_a_zone_without_room_shows_none_until_one_comes_nearer(show_map, block):
    layer = ZoneLayer(
        "zones",
        [block(0, 0, 8, 8), block(400, 300, 408, 308)],
        (STEP,),
        labels=("Zone 1", "Zone 2"),
    )
    view = show_map(layer)
    assert labels_of(view, layer) == ()
    view.zoom_by(40)
    assert [label.text for label in labels_of(view, layer)] == ["Zone 1", "Zone 2"]


def test_a_narrow_strip_shows_at_least_its_heading(show_map, block):
    strip = ZoneLayer("strips", [block(0, 0, 400, 20)], (STEP,), labels=("Check strip\n0 kg/ha",))
    assert [label.text for label in labels_of(show_map(strip), strip)] == ["Check strip"]


def test_labels_do_not_lie_over_each_other(show_map, place):
    random = np.random.default_rng(3)
    west, south = place(0, 0)
    count = 400
    samples = MarkerLayer(
        "samples",
        west + 400 * random.random(count),
        south + 300 * random.random(count),
        (STEP,),
        labels=[str(i) for i in range(count)],
    )
    view = show_map(samples)
    art = LabelArt("DejaVu Sans", LIGHT, 1.0)
    boxes = []
    for label in labels_of(view, samples):
        x, y = view.view().to_pixels(label.easting_m, label.northing_m)
        size = art.size(label.text)
        x, y = x + label.right_px, y + label.down_px
        boxes.append(
            shapely.box(
                x - size.width() / 2,
                y - size.height() / 2,
                x + size.width() / 2,
                y + size.height() / 2,
            )
        )
    assert 50 < len(boxes) < count
    tree = shapely.STRtree(boxes)
    assert tree.query(boxes, predicate="overlaps").size == 0
    pixels = [
        view.view().to_pixels(*spot)
        for spot in zip(samples.easting_m, samples.northing_m, strict=True)
    ]
    markers = shapely.points(pixels)
    assert tree.query(markers, predicate="dwithin", distance=4.0).size == 0


def test_the_largest_zone_wins_the_place(show_map, block):
    crossing = ZoneLayer(
        "zones",
        [block(150, 100, 250, 200), block(0, 0, 400, 300)],
        (STEP,),
        labels=("Small in the middle", "Large below it"),
    )
    texts = [label.text for label in labels_of(show_map(crossing), crossing)]
    assert texts[0] == "Large below it"


def test_a_picture_of_a_label_is_made_once_and_has_letters_and_halo():
    for scheme in (LIGHT, DARK):
        art = LabelArt("DejaVu Sans", scheme, 2.0)
        picture = art.picture("Zone 3\n120 kg/ha")
        assert art.picture("Zone 3\n120 kg/ha") is picture
        assert picture.size() == art.size("Zone 3\n120 kg/ha")
        image = picture.toImage()
        colors = {
            image.pixelColor(x, y).name()
            for x in range(image.width())
            for y in range(image.height())
            if image.pixelColor(x, y).alpha() == 255
        }
        assert {scheme.text, scheme.halo} <= colors
