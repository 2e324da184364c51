import zipfile
from xml.etree import ElementTree

import pytest
import shapely

from vrxapp.errors import GroundError, InputFileError, UnknownChoiceError
from vrxapp.files.formats import read_features
from vrxapp.files.kml import kml_crs, kml_layers

NAMESPACE = "{http://www.opengis.net/kml/2.2}"
RING = "149,-35,0 149.01,-35,0 149.01,-34.99,0 149,-34.99,0 149,-35,0"
HOLE = "149.002,-34.998 149.004,-34.998 149.004,-34.996 149.002,-34.996 149.002,-34.998"


def polygon(ring=RING, hole=""):
    inner = (
        f"<innerBoundaryIs><LinearRing><coordinates>{hole}</coordinates></LinearRing>"
        "</innerBoundaryIs>"
    )
    return (
        f"<Polygon><outerBoundaryIs><LinearRing><coordinates>{ring}</coordinates></LinearRing>"
        f"</outerBoundaryIs>{inner if hole else ''}</Polygon>"
    )


def placemark(shape, name="Hügel", own=""):
    return f"<Placemark><name>{name}</name>{own}{shape}</Placemark>"


def kml(*content, name="Farm"):
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n<kml xmlns="http://www.opengis.net/kml/2.2">'
        f"<Document><name>{name}</name>{''.join(content)}</Document></kml>"
    )


@pytest.fixture
def save(tmp_path):
    """Makes a KML of placemarks and folders."""

    def make(*content, file="farm.kml"):
        path = tmp_path / file
        path.write_text(kml(*content), "utf-8")
        return path

    return make


def refusal(path, kind=InputFileError):
    before = {p: p.read_bytes() for p in path.parent.iterdir()}
    with pytest.raises(kind) as caught:
        read_features(path)
    assert {p: p.read_bytes() for p in path.parent.iterdir()} == before  # nothing was written
    assert caught.value.note.file == path.name
    return caught.value.note


def test_placemarks_are_read_as_another_xml_reader_finds_them(save):
    path = save(
        placemark(polygon(hole=HOLE)),
        placemark("<Point><coordinates>149,-35</coordinates></Point>", "P"),
    )
    found = read_features(path)
    root = ElementTree.parse(path).getroot()  # noqa: S314 - written by this test
    texts = [one.text for one in root.iter(f"{NAMESPACE}coordinates")]
    rings = [[tuple(map(float, word.split(",")[:2])) for word in text.split()] for text in texts]
    assert shapely.equals(found.shapes[0], shapely.Polygon(rings[0], [rings[1]]))
    assert shapely.equals(found.shapes[1], shapely.Point(rings[2][0]))
    names = [one.findtext(f"{NAMESPACE}name") for one in root.iter(f"{NAMESPACE}Placemark")]
    assert [row["name"] for row in found.fields] == names == ["Hügel", "P"]
    assert [note.message for note in found.notes] == ["heights are left out, in 1 of its features"]


def test_a_kmz_is_read_like_its_kml(save):
    path = save(placemark(polygon()))
    archive = path.with_suffix(".kmz")
    with zipfile.ZipFile(archive, "w") as made:
        made.write(path, "doc.kml")
        made.writestr("files/photo.png", b"x")
    assert shapely.equals(read_features(archive).shapes[0], read_features(path).shapes[0])
    assert read_features(archive).file == "farm.kmz"


def test_a_kmz_without_kml_is_refused(tmp_path):
    path = tmp_path / "a.kmz"
    with zipfile.ZipFile(path, "w") as made:
        made.writestr("photo.png", b"x")
    assert refusal(path).message == "there is no .kml in the archive"


def test_each_folder_with_placemarks_is_a_layer(save):
    path = save(
        f"<Folder><name>Zones</name>{placemark(polygon(), 'A')}</Folder>",
        f"<Folder><name>Dams</name><Folder><name>Old</name>{placemark(polygon(), 'B')}</Folder>"
        "</Folder><Folder><name>Empty</name></Folder>",
    )
    assert kml_layers(path) == ("Zones", "Old")
    assert kml_crs(path, "Zones") == "EPSG:4326"
    with pytest.raises(UnknownChoiceError, match=r"holds 2 layers\. Choose one of: Zones, Old"):
        read_features(path)
    assert read_features(path, layer="Old").fields[0]["name"] == "B"


def test_the_makers_own_data_is_kept_and_the_look_is_not(save):
    own = (
        "<description>seen</description><styleUrl>#s</styleUrl><ExtendedData>"
        '<Data name="ph"><value>5.4</value></Data>'
        '<SchemaData><SimpleData name="soil">clay</SimpleData></SchemaData></ExtendedData>'
    )
    found = read_features(save(placemark(polygon(), own=own)))
    assert found.fields == ({"name": "Hügel", "ph": "5.4", "soil": "clay"},)


def test_a_kml_without_placemarks_is_refused(save):
    link = "<NetworkLink><Link><href>http://example.org/a.kml</href></Link></NetworkLink>"
    assert refusal(save(link)).message == "it holds no placemark"


def test_links_are_told_and_not_followed(save):
    link = "<NetworkLink><Link><href>http://example.org/a.kml</href></Link></NetworkLink>"
    found = read_features(save(placemark(polygon()), link))
    assert len(found.shapes) == 1
    assert "they were not opened" in str(found.notes[0])


@pytest.mark.parametrize(
    "doctype",
    [
        '<!DOCTYPE kml [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;">]>',
        '<!DOCTYPE kml [<!ENTITY x SYSTEM "file:///etc/passwd">]>',
        '<!DOCTYPE kml SYSTEM "http://example.org/kml.dtd">',
    ],
)
@pytest.mark.parametrize("encoding", ["utf-8", "utf-16"])
def test_a_doctype_is_refused_before_anything_is_made_of_it(tmp_path, doctype, encoding):  # SEC-04
    path = tmp_path / "a.kml"
    content = kml(placemark(polygon())).split("\n", 1)[1]
    path.write_bytes(f"{doctype}\n{content}".encode(encoding))
    assert "it begins with a DOCTYPE" in refusal(path).message


def test_a_doctype_far_down_is_refused_too(tmp_path):
    path = tmp_path / "a.kml"
    path.write_text(f"<!--{'x' * 100_000}--><!DOCTYPE kml><kml/>")
    assert "it begins with a DOCTYPE" in refusal(path).message


def test_a_kml_that_is_cut_short_is_refused(save):
    path = save(placemark(polygon()))
    path.write_bytes(path.read_bytes()[:200])
    assert refusal(path).message.startswith("it is damaged or cut short")


def test_other_xml_is_refused(tmp_path):
    path = tmp_path / "a.kml"
    path.write_text("<gpx><wpt/></gpx>")
    assert refusal(path).message == "it is XML, but no KML"


def test_elements_without_end_in_each_other_are_refused(save):
    path = save("<Folder>" * 300 + placemark(polygon()) + "</Folder>" * 300)
    assert "too deep" in refusal(path).message


def test_a_fault_is_told_with_the_placemark(save):
    path = save(placemark(polygon()), placemark(polygon(ring="149,-35 149.01,-35"), "Bad"))
    note = refusal(path, GroundError)
    assert note.message == "placemark 2 (Bad): a ring has fewer than three corners"
    assert note.row == 2


def test_a_placemark_without_a_shape_is_left_out_and_told(save):
    found = read_features(save(placemark("", "Nothing"), placemark(polygon(), "A")))
    assert [row["name"] for row in found.fields] == ["A"]
    assert "had no shape and were left out" in str(found.notes[0])
